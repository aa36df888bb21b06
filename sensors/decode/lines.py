"""Bytes to lines, within a bounded memory."""

from collections.abc import Iterator
from dataclasses import dataclass

CAP = 256
"""Longest line that is kept [bytes]; a sensor's line is a tenth of it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line without its line end."""

    text: bytes
    """Its bytes; empty where it was too long."""
    whole: bool = True
    """False for the first line after opening, whose beginning may be missing."""
    too_long: bool = False
    """True for a line that passed the cap and was dropped."""


class LineBuffer:
    """Gathers bytes until a line ends.

    A line that passes the cap is given out at once as `too_long`, so that a flood
    without line ends is noticed, and the rest of it is dropped.
    """

    def __init__(self, cap: int = CAP) -> None:
        """Prepare to hold back `cap` bytes at most."""
        self._part, self._cap = bytearray(), cap
        self.restart()

    def restart(self, whole: bool = False) -> None:
        """The port was opened anew: what comes first may be the end of a line, unless `whole`."""
        self._part.clear()
        self._whole = whole
        self._dropping = False

    def feed(self, data: bytes) -> Iterator[Line]:
        """Take bytes in; give out each line as it ends, whatever the pieces they came in."""
        *ended, rest = data.split(b"\n")
        for piece in ended:
            yield from self._add(piece)
            if not self._dropping:
                yield Line(bytes(self._part).rstrip(b"\r"), self._whole)
            self._part.clear()
            self._whole, self._dropping = True, False
        yield from self._add(rest)

    def __len__(self) -> int:
        """Bytes held back until their line ends; never more than the cap."""
        return len(self._part)

    def _add(self, piece: bytes) -> Iterator[Line]:
        if self._dropping:
            return
        if len(self._part) + len(piece) > self._cap:
            self._part.clear()
            self._dropping = True
            yield Line(b"", too_long=True)
        else:
            self._part += piece
