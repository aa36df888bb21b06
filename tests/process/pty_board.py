"""Stands in for a microcontroller: owns a pseudo-terminal and writes to it.

    python pty_board.py LINK FLOOD ALWAYS [PAUSE]

Puts a link to the terminal at LINK, writes FLOOD bytes without a line end as fast
as they are taken, then ALWAYS (in hex) for ever at the pace of 9600 baud, with a pause
of so many seconds between.
"""

import os
import signal
import sys
import time
import tty
from pathlib import Path

BYTES_PER_SECOND = 960
PIECE = 8


def main(link: Path, flood: int, always: bytes, pause: float) -> None:
    master, slave = os.openpty()
    tty.setraw(slave)
    made = link.with_name(f"{link.name}.{os.getpid()}")
    made.symlink_to(os.ttyname(slave))
    made.replace(link)
    while flood:
        flood -= os.write(master, b"x" * min(flood, 1000))
    while always:
        for start in range(0, len(always), PIECE):
            piece = always[start : start + PIECE]
            os.write(master, piece)
            time.sleep(len(piece) / BYTES_PER_SECOND)
        time.sleep(pause)
    signal.pause()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), bytes.fromhex(sys.argv[3]), float(*sys.argv[4:]))
