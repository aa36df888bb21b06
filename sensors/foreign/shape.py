"""What parts the columns of a file, and where its titles stand."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sensors.decode.values import number
from sensors.faults import SensorError
from sensors.foreign.sample import Sample
from sensors.foreign.times import DATE, is_moment
from sensors.rows import cells_of

_DELIMITERS = (";", "\t", ",", "|", " ")


@dataclass(frozen=True, slots=True)
class Shape:
    """A sample, parted."""

    delimiter: str
    header_line: int
    titles: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    """Those with as many cells as there are titles."""


def shape(sample: Sample, delimiter: str | None, header_line: int | None) -> Shape:
    """Part the sample as makes the most sense of it.

    Args:
        sample: of the file.
        delimiter: if it is stated.
        header_line: likewise.

    Raises:
        SensorError: if nothing makes sense of it.
    """
    tried = [_parted(sample, sign) for sign in ([delimiter] if delimiter else _DELIMITERS)]
    sign, first, later = max(tried, key=lambda found: len(_data(found[1])))
    data = _data(first)
    if not data and header_line is None:
        raise SensorError(
            "no row holds a time and a number; say what parts the columns and where the titles "
            "stand: --delimiter ';' --header-line 3"
        )
    line = header_line or _titles_above(first, data[0]) + 1
    titles = first[line - 1] if line <= len(first) else ()
    if not any(titles):
        raise SensorError(
            f"line {line} holds no titles; say where they stand: --header-line 3, or write a line "
            "of titles above the first row"
        )
    width = len(titles)
    rows = [row for row in (*first[line:], *later) if len(row) >= width and not any(row[width:])]
    return Shape(sign, line, titles, tuple(row[:width] for row in rows))


_Rows = Sequence[tuple[str, ...]]


def _parted(sample: Sample, sign: str) -> tuple[str, _Rows, _Rows]:
    first, later = (
        [tuple(cells_of(line, sign)) for line in lines] for lines in (sample.first, sample.later)
    )
    return sign, first, later


def _data(rows: _Rows) -> list[int]:
    """Which of the rows hold a time and a number, of those with the usual number of cells."""
    found = [index for index, row in enumerate(rows) if _is_data(row)]
    widths = Counter(len(rows[index]) for index in found)
    usual = max(widths, key=lambda width: widths[width], default=0)
    return [index for index in found if len(rows[index]) == usual]


def _is_data(row: tuple[str, ...]) -> bool:
    times = [cell for cell in row if is_moment(cell) or DATE.fullmatch(cell)]
    return bool(times) and any(_is_number(cell) for cell in row if cell not in times)


def _is_number(cell: str) -> bool:
    try:
        number(cell)
    except SensorError:
        return False
    return bool(cell)


def _titles_above(rows: _Rows, data: int) -> int:
    """The line of titles for the first row of data: the nearest above that names its columns."""
    filled = [index for index, cell in enumerate(rows[data]) if cell]
    for line in range(data - 1, -1, -1):
        row = rows[line]
        if len(row) > filled[-1] and all(row[index] for index in filled):
            names = [cell.casefold() for cell in row if cell]
            if len(set(names)) == len(names) and not any(map(_is_number, names)):
                return line
    raise SensorError(
        "there is no line of titles above the first row; write one such as "
        "'time,lower cave.temperature,lower cave.humidity'"
    )
