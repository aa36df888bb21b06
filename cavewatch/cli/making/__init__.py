"""What is on record of a make: read from the store, and as JSON."""
