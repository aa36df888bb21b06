"""The look: three themes that give the same roles their colours.

On a normal day all is grey on grey, so that an abnormal value is the only
bright thing. In 16 colours, and without any, bold and reverse do that work;
words and marks say the same beside them.
"""

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter
from textual.theme import Theme

DARK = Theme(
    name="dark",
    primary="#8f9a9c",
    secondary="#6f797b",
    accent="#c9c4b8",
    warning="#c9a66b",
    error="#ff9d5c",
    success="#8f9a9c",
    foreground="#b9b8b2",
    background="#191b1c",
    surface="#212425",
    panel="#2a2e2f",
    variables={
        "faint": "#898e8b",
        "strong": "#d8d6cd",
        "caution": "#d2b47c",
        "alert": "#ffb454",
        "selected": "#3d4648",
        "faint-style": "none",
        "strong-style": "none",
        "caution-style": "none",
        "alert-style": "bold",
        "focus-style": "none",
        "border": "#6f797b",
        "border-blurred": "#3a4041",
        "input-cursor-background": "#d8d6cd",
        "input-cursor-foreground": "#191b1c",
        "input-selection-background": "#40484a",
        "block-cursor-background": "#3a4345",
        "block-cursor-foreground": "#e6e4da",
        "block-cursor-text-style": "none",
        "scrollbar": "#4a5254",
        "scrollbar-background": "#212425",
    },
)
"""For 256 colours or more on a dark ground."""

LIGHT = Theme(
    name="light",
    dark=False,
    primary="#5b6466",
    secondary="#7b8486",
    accent="#4a463c",
    warning="#7a5200",
    error="#a33c00",
    success="#5b6466",
    foreground="#3b3f40",
    background="#f4f3ee",
    surface="#eceae3",
    panel="#e0ded6",
    variables={
        "faint": "#62686a",
        "strong": "#15181a",
        "caution": "#786040",
        "alert": "#951a00",
        "selected": "#cfd6d6",
        "faint-style": "none",
        "strong-style": "none",
        "caution-style": "none",
        "alert-style": "bold",
        "focus-style": "none",
        "border": "#7b8486",
        "border-blurred": "#b9bcb8",
        "input-cursor-background": "#15181a",
        "input-cursor-foreground": "#f4f3ee",
        "input-selection-background": "#c2cbcb",
        "block-cursor-background": "#cfd6d6",
        "block-cursor-foreground": "#15181a",
        "block-cursor-text-style": "none",
        "scrollbar": "#b0b5b3",
        "scrollbar-background": "#eceae3",
    },
)
"""For 256 colours or more on a light ground."""

SIXTEEN = Theme(
    name="16 colours",
    ansi=True,
    primary="ansi_default",
    secondary="ansi_default",
    accent="ansi_default",
    warning="ansi_yellow",
    error="ansi_yellow",
    success="ansi_default",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    boost="ansi_default",
    variables={
        "faint": "ansi_default",
        "strong": "ansi_default",
        "caution": "ansi_default",
        "alert": "ansi_default",
        "ansi-background": "ansi_default",
        "ansi-foreground": "ansi_default",
        "selected": "ansi_default",
        "faint-style": "dim",
        "strong-style": "none",
        "caution-style": "bold",
        "alert-style": "bold reverse",
        "focus-style": "reverse",
        "border": "ansi_default",
        "border-blurred": "ansi_default",
        "block-cursor-foreground": "ansi_black",
        "block-cursor-background": "ansi_white",
        "block-cursor-text-style": "none",
        "input-cursor-background": "ansi_white",
        "input-cursor-foreground": "ansi_black",
        "input-cursor-text-style": "none",
        "input-selection-background": "ansi_default",
        "input-selection-foreground": "ansi_default",
        "scrollbar": "ansi_default",
        "scrollbar-background": "ansi_default",
        "scrollbar-hover": "ansi_default",
        "scrollbar-active": "ansi_default",
    },
)
"""For 16 colours and for NO_COLOR: the terminal's own colours, bold and reverse."""

_REVERSE = Style(reverse=True, color="default", bgcolor="default")


class ReverseFilter(LineFilter):
    """Turns a white ground of the theme for 16 colours into reverse, which NO_COLOR keeps.

    Textual marks the chosen line of its own lists by colours alone.
    """

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002
        """The segments, those on white in reverse."""
        return [
            Segment(text, _REVERSE if _on_white(style) else style, control)
            for text, style, control in segments
        ]


def _on_white(style: Style | None) -> bool:
    return style is not None and style.bgcolor is not None and style.bgcolor.name == "white"


ROLES = dict(DARK.variables)
"""Defaults of the variables that the stylesheet uses."""


def offered(color_system: str | None, no_color: bool, light: bool) -> tuple[Theme, ...]:
    """The themes that a terminal with these abilities can show, the one to begin with first.

    Args:
        color_system: as rich names it: 'truecolor', '256', 'standard', None for none.
        no_color: True if the maker asked for no colour (https://no-color.org).
        light: True if its ground is light.
    """
    if no_color or color_system not in ("truecolor", "256"):
        return (SIXTEEN,)
    return (LIGHT, SIXTEEN, DARK) if light else (DARK, LIGHT, SIXTEEN)
