"""Reports: one HTML file each, for a browser or paper, that holds all it shows.

No script, no request, and no colour that anything hangs on. Who makes a report
says what is in it (`page`, `chart`); nothing here knows what a cheese is.
"""

from cavewatch.reports.chart import Chart, Level, Point, Stretch
from cavewatch.reports.page import Facts, Page, Part, Row, Section, Table, Text, html

__all__ = [
    "Chart",
    "Facts",
    "Level",
    "Page",
    "Part",
    "Point",
    "Row",
    "Section",
    "Stretch",
    "Table",
    "Text",
    "html",
]
