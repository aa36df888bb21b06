"""The recorder's lock: one process at a time records into a store."""

import fcntl
import os
from pathlib import Path

from cavewatch.store.errors import StoreError


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
            file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o664)
            try:
                # A `holder` that looks at this very moment is in the way, too; it shares.
                while not _locked(file, fcntl.LOCK_EX):
                    if not _locked(file, fcntl.LOCK_SH):
                        os.close(file)
                        return False
                os.ftruncate(file, 0)
                os.write(file, f"{os.getpid()}\n".encode())
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
        try:
            file = os.open(self._path, os.O_RDONLY)
        except FileNotFoundError:
            return None
        except OSError as fault:
            raise self._error(fault) from fault
        try:
            if _locked(file, fcntl.LOCK_SH):
                return None
            number = os.read(file, 20).strip()
            return int(number) if number.isdigit() else 0
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


def _locked(file: int, how: int) -> bool:
    try:
        fcntl.flock(file, how | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
