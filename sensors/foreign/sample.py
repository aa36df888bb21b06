"""Some lines of a file: its beginning, and a few from further on."""

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from sensors.encoding import HEAD, told
from sensors.faults import SensorError, shown

_PIECE = 16_384
_PIECES = 4
"""So many pieces are taken from behind the beginning, the last at the file's end."""
_LINES = 400
"""Of the beginning, and of all other pieces together."""


@dataclass(frozen=True, slots=True)
class Sample:
    """What a guess rests on."""

    first: tuple[str, ...]
    """The file's first lines, in order."""
    later: tuple[str, ...]
    """Some of those behind them, in order."""


def sample(path: Path) -> Sample:
    """Take a sample.

    Raises:
        SensorError: if the file cannot be read or is empty.
    """
    try:
        with path.open("rb") as file:
            head = file.read(HEAD)
            codec = told(head)
            later = _later(file, codec)
    except OSError as fault:
        raise SensorError(f"{shown(str(path), 200)} cannot be read: {fault.strerror}") from fault
    first = head.decode(codec, "replace").splitlines()
    if not any(line.strip() for line in first):
        raise SensorError(f"{shown(path.name)} is empty; name a file with a line of titles")
    if len(head) == HEAD:
        first = first[:-1]
    later = [*first[_LINES:], *later]
    step = max(1, len(later) // _LINES)
    return Sample(tuple(first[:_LINES]), tuple(later[::step]))


def _later(file: BinaryIO, codec: str) -> list[str]:
    """Whole lines from pieces of the file behind its head."""
    lines = []
    size = file.seek(0, 2)
    for number in range(1, _PIECES + 1):
        # Even places only: a letter of UTF-16 has two bytes.
        start = (HEAD + (size - HEAD - _PIECE) * number // _PIECES) // 2 * 2
        if start < HEAD:
            continue
        file.seek(start)
        text = file.read(_PIECE).decode(_piecewise(file, codec), "replace")
        lines += text.splitlines()[1:-1]
    return lines


def _piecewise(file: BinaryIO, codec: str) -> str:
    """The codec for a piece without the mark before the whole."""
    if codec != "utf-16":
        return codec
    file.seek(0)
    return "utf-16-le" if file.read(1) == b"\xff" else "utf-16-be"
