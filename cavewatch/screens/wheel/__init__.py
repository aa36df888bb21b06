"""What the page of a wheel shows, as lines of text: pure functions of values and size."""
