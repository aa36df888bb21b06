"""The salting core: what a wheel takes up, and when it has enough."""
