"""The commands: the only place that wires sources, store, recorder and screens together."""

from cavewatch.cli.root import main

__all__ = ["main"]
