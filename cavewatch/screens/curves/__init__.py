"""Curves over time as lines of text: pure functions of values and size."""

from cavewatch.screens.curves.axis import time_axis
from cavewatch.screens.curves.marks import Mark, marks_line
from cavewatch.screens.curves.plot import Curve, Plot, Point, chart

__all__ = ["Curve", "Mark", "Plot", "Point", "chart", "marks_line", "time_axis"]
