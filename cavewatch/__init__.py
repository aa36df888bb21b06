"""Cavewatch: salting countdowns and cave watching for people who make cheese by hand."""

__version__ = "0.7.0"
