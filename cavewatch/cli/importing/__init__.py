"""What `cavewatch import` proposes, takes in and tells."""
