"""How a line of parts is painted in the colours of the theme."""

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from cavewatch.screens.lines import Line, Role

ROLE_CLASSES = {f"role--{role}" for role in Role}


def painted(widget: Widget, line: Line, width: int) -> Strip:
    """The line in the widget's styles."""
    segments = [
        Segment(part.text, widget.get_component_rich_style(f"role--{part.role}"))
        for part in line
        if part.text
    ]
    return Strip(segments).adjust_cell_length(width, widget.rich_style)
