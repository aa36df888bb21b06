"""A half cross-section of a wheel, shaded by salt in moisture.

The levels are told apart by their signs; they are parts of what the wheel is aimed at, so
that paste with the salt that it is to have looks the same in every wheel.
"""

from rich.cells import cell_len

from cavewatch.core.countdown import Span
from cavewatch.core.shape import Cuboid, Cylinder, Shape
from cavewatch.core.uptake import Cut
from cavewatch.screens import wording
from cavewatch.screens.lines import Line, Part, Role, fit
from cavewatch.screens.plan import NARROW

SIGNS, PLAIN = "·░▒▓█", ".:+*#"
"""From little salt to much; and in ASCII."""
BOUNDS = (0.25, 0.75, 1.25, 2.0)
"""Where one level ends and the next begins, as parts of the aim."""
_ROLES = (Role.FAINT, Role.PLAIN, Role.PLAIN, Role.STRONG, Role.STRONG)
_NAMES = ("", "", ", as aimed", "")
UNIT = "g in 100 g water"
FEWEST = 4
"""Cells across of the narrowest section."""


def half_and_height(shape: Shape) -> tuple[float, float]:
    """What a section is wide, from the middle to the rim, and high [cm]."""
    match shape:
        case Cylinder(diameter, height):
            return diameter / 2, height
        case Cuboid(length, _, height):
            return length / 2, height
        case _:
            return shape.diameter / 2, shape.diameter


def size(shape: Shape, columns: int, rows: int) -> tuple[int, int]:
    """Cells across and up that a section takes in such a room; a cell is twice as high as wide."""
    half, height = half_and_height(shape)
    across = round(2 * half / height * rows)
    if across > columns:
        return columns, max(1, round(columns * height / (2 * half)))
    return max(min(FEWEST, columns), across), rows


def section_lines(cut: Cut, columns: int, rows: int, ascii_only: bool) -> list[Line]:
    """The section itself, its middle on the left, and a line that names its ends."""
    across, up = size(cut.shape, columns - 1, rows - 1)
    axis = Part("|" if ascii_only else "┊", Role.FAINT)
    lines: list[Line] = []
    for row in range(up):
        parts = [axis]
        for column in range(across):
            value = _mean(cut, row, up, column, across)
            parts.append(Part(" ") if value is None else _shade(value, cut.aim, ascii_only))
        lines.append(tuple(_joined(parts)))
    gap = across + 1 - len("middle") - len("rim")
    ends = f"middle{' ' * gap}rim" if gap > 0 else "rim".rjust(across + 1)
    return [*lines, (Part(ends, Role.FAINT),)]


def legend_lines(cut: Cut, width: int, ascii_only: bool) -> list[Line]:
    """What the signs stand for; shortly where there is little room."""
    signs = PLAIN if ascii_only else SIGNS
    limits = [f"{bound * cut.aim:.1f}" for bound in BOUNDS]
    if width < NARROW:
        parts = [f"{sign}<{limit}" for sign, limit in zip(signs, limits, strict=False)]
        return _flowed([*parts, f"{signs[-1]} more"], width, " ", Role.FAINT)
    words = [f"to {limit}{name}" for limit, name in zip(limits, _NAMES, strict=True)] + ["more"]
    parts = [f"{sign} {each}" for sign, each in zip(signs, words, strict=True)]
    return _flowed([*parts, UNIT], width, "  ", Role.FAINT)


def told_lines(cut: Cut, width: int) -> list[Line]:
    """The extremes and the mean, each with its range."""
    parts = [
        f"{name} {in_moisture(span)}"
        for name, span in (("saltiest", cut.saltiest), ("mean", cut.mean), ("least", cut.least))
    ]
    return _flowed([*parts, UNIT] if width < NARROW else parts, width, ", ")


def _flowed(parts: list[str], width: int, gap: str, role: Role = Role.PLAIN) -> list[Line]:
    """The parts in as few lines as they fit on, none of them broken."""
    texts: list[str] = []
    for part in parts:
        if texts and cell_len(texts[-1] + gap + part) <= width:
            texts[-1] += gap + part
        else:
            texts.append(part)
    return [fit((Part(text, role),), width) for text in texts]


def in_moisture(span: Span) -> str:
    """Salt in moisture with its range [g per 100 g]: '4.0 (3.4 to 4.7)'."""
    return wording.ranged(span, lambda value: f"{value:.1f}")


def level(value: float, aim: float) -> int:
    """Which level a value is of, from 0."""
    return sum(value >= bound * aim for bound in BOUNDS)


def _shade(value: float, aim: float, ascii_only: bool) -> Part:
    found = level(value, aim)
    return Part((PLAIN if ascii_only else SIGNS)[found], _ROLES[found])


def _mean(cut: Cut, row: int, up: int, column: int, across: int) -> float | None:
    """The mean of what lies under one cell; None where most of it is outside."""
    fine = cut.field
    down = range(row * len(fine) // up, max((row + 1) * len(fine) // up, row * len(fine) // up + 1))
    width = len(fine[0])
    out = range(
        column * width // across,
        max((column + 1) * width // across, column * width // across + 1),
    )
    values = [fine[y][x] for y in down for x in out]
    inside = [value for value in values if value is not None]
    return sum(inside) / len(inside) if 2 * len(inside) > len(values) else None


def _joined(parts: list[Part]) -> list[Part]:
    """Neighbours of one role made one."""
    runs: list[Part] = []
    for part in parts:
        if runs and runs[-1].role is part.role:
            runs[-1] = Part(runs[-1].text + part.text, part.role)
        else:
            runs.append(part)
    return runs
