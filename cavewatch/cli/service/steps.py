"""What is done to the system, step by step: files written, files removed, commands called."""

import contextlib
import os
import shlex
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean

_PATIENCE = 120.0
"""Longest that a command may take [s]."""


@dataclass(frozen=True, slots=True)
class Written:
    """A file with its text."""

    path: Path
    text: str
    mode: int = 0o644
    group: str = "root"

    def shown(self) -> str:
        """The file as a person reads it."""
        return f"# {self.path} (root:{self.group}, mode {self.mode:04o})\n{self.text}"

    def do(self) -> None:
        """Write it, whole or not at all."""
        try:
            _make(self.path.parent)
            handle, name = tempfile.mkstemp(dir=self.path.parent, prefix=f".{self.path.name}-")
            try:
                with os.fdopen(handle, "w", encoding="utf-8") as file:
                    file.write(self.text)
                    file.flush()
                    os.fsync(file.fileno())
                shutil.chown(name, "root", self.group)
                Path(name).chmod(self.mode)
                Path(name).replace(self.path)
            except BaseException:
                Path(name).unlink(missing_ok=True)
                raise
        except (OSError, LookupError) as fault:
            raise CavewatchError(f"{self.path} cannot be written: {fault}") from fault


@dataclass(frozen=True, slots=True)
class Removed:
    """A file that goes."""

    path: Path

    def shown(self) -> str:
        """The step as a person reads it."""
        return f"$ rm -f {shlex.quote(str(self.path))}\n"

    def do(self) -> None:
        """Remove it; without effect if it is not there."""
        try:
            self.path.unlink(missing_ok=True)
        except OSError as fault:
            raise CavewatchError(f"{self.path} cannot be removed: {fault}") from fault


@dataclass(frozen=True, slots=True)
class Called:
    """A command of the system."""

    words: tuple[str, ...]
    needed: bool = True
    """False if the next start of the machine does the same."""

    def shown(self) -> str:
        """The command as it is typed."""
        return f"$ {shlex.join(self.words)}\n"

    def do(self) -> None:
        """Call it and wait.

        Raises:
            CavewatchError: with what it complained of, if it is needed.
        """
        try:
            done = subprocess.run(
                self.words, capture_output=True, text=True, timeout=_PATIENCE, check=False
            )
            complaint = done.stderr.strip() or f"exit status {done.returncode}"
            failed = done.returncode != 0
        except (OSError, subprocess.TimeoutExpired) as fault:
            complaint, failed = str(fault), True
        if failed and self.needed:
            raise CavewatchError(f"'{shlex.join(self.words)}' failed: {clean(complaint, 400)}")


Step = Written | Removed | Called


def _make(folder: Path) -> None:
    """Make a folder that everybody may look into, whatever the umask."""
    for each in (*reversed(folder.parents), folder):
        if not each.exists():
            each.mkdir()
            each.chmod(0o755)


def answer(*words: str) -> str:
    """The first line that a command of the system prints; empty if it prints none."""
    with contextlib.suppress(OSError, subprocess.TimeoutExpired):
        done = subprocess.run(words, capture_output=True, text=True, timeout=_PATIENCE, check=False)
        return clean(done.stdout.strip().partition("\n")[0], 100)
    return ""
