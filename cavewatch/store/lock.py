"""The recorder's lock: one process at a time records into a store.

Beside its number the holder leaves a line of trouble for viewers in the lock's file, which
takes no more room than the file has from the start: it can be said when the disk is full.
"""

import fcntl
import os
from pathlib import Path

from cavewatch.core.text import clean
from cavewatch.store.database import share
from cavewatch.store.errors import StoreError

_SIZE = 1024
"""Of the lock's file [bytes]."""


class RecorderLock:
    """A lock on `<store>.lock`, which holds the process number of its holder.

    The kernel keeps the lock and drops it when its holder ends, however it
    ends; the number in the file is only for people.
    """

    def __init__(self, path: Path) -> None:
        """For the store at this path."""
        self._path = path.with_name(f"{path.name}.lock")
        self._file: int | None = None

    def acquire(self) -> bool:
        """Take the lock; False if some process holds it, this one included if by another object.

        Raises:
            StoreError: if the lock's file cannot be opened or written.
        """
        if self._file is not None:
            return True
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            if not self._path.exists():
                self._path.touch()
                share(self._path)
            file = os.open(self._path, os.O_RDWR)
            try:
                # A `holder` that looks at this very moment is in the way, too; it shares.
                while not _locked(file, fcntl.LOCK_EX):
                    if not _locked(file, fcntl.LOCK_SH):
                        os.close(file)
                        return False
                _write(file, "")
            except BaseException:
                os.close(file)
                raise
        except OSError as fault:
            raise self._error(fault) from fault
        self._file = file
        return True

    def holder(self) -> int | None:
        """The number of the process that holds the lock; None if it is free.

        0 in the instant in which a new holder has not written its number yet.
        """
        written = self._read()
        if written is None:
            return None
        number, _, _ = written.partition("\n")
        return int(number) if number.isdigit() else 0

    def say(self, text: str) -> None:
        """Leave a line of trouble for viewers, in place of the last; empty for none.

        Without effect if the lock is not held. Raises StoreError if the file cannot be written.
        """
        if self._file is not None:
            try:
                _write(self._file, text)
            except OSError as fault:
                raise self._error(fault) from fault

    def said(self) -> str:
        """The trouble of the recorder that is running, fit to be shown; empty for none."""
        _, _, text = (self._read() or "").partition("\n")
        return clean(text.strip(), _SIZE)

    def _read(self) -> str | None:
        """What the holder wrote; None if the lock is free."""
        try:
            file = os.open(self._path, os.O_RDONLY)
        except FileNotFoundError:
            return None
        except OSError as fault:
            raise self._error(fault) from fault
        try:
            if _locked(file, fcntl.LOCK_SH):
                return None
            return os.pread(file, _SIZE, 0).decode("utf-8", errors="replace")
        except OSError as fault:
            raise self._error(fault) from fault
        finally:
            os.close(file)

    def release(self) -> None:
        """Let the lock go; without effect if it is not held."""
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def _error(self, fault: OSError) -> StoreError:
        return StoreError(
            f"{self._path}: the recorder's lock cannot be used ({fault.strerror}); name a store "
            "in a directory that you may write to"
        )


def _write(file: int, text: str) -> None:
    """The holder's number and a line, over what was there and as long as it."""
    line = f"{os.getpid()}\n{clean(text, _SIZE)}".encode()[: _SIZE - 1]
    os.pwrite(file, line.ljust(_SIZE - 1) + b"\n", 0)


def _locked(file: int, how: int) -> bool:
    try:
        fcntl.flock(file, how | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
