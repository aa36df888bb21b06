"""A program that runs beside the recorder: started, looked at now and then, ended if it hangs.

A process rather than a thread: whatever hangs in it, the network or the program
itself, it can be ended, and what it loads is gone with it.
"""

import contextlib
import os
import signal
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

from cavewatch.clock import Clock
from cavewatch.core.text import clean

PATIENCE = 60.0
"""A program that takes longer is ended [s]. Judgement: a small machine needs seconds to begin."""
_KEPT = 1000
"""Of what a program says when it fails [bytes]."""


class Errand:
    """One run of a program; nothing here waits for it."""

    def __init__(
        self,
        command: Sequence[str],
        ticks: Clock,
        *,
        folder: Path,
        variables: Mapping[str, str] | None = None,
        text: str = "",
        name: str = "",
    ) -> None:
        """Start it; a program that cannot be started has failed at once.

        Args:
            command: the program and its arguments; no shell reads them.
            ticks: a clock that never steps [s].
            folder: where it runs.
            variables: added to its environment.
            text: its standard input, at most some thousand characters.
            name: under which it is spoken of; otherwise that of the program.
        """
        self._name = name or clean(command[0], 80)
        self._ticks = ticks
        self._until = ticks() + PATIENCE
        self._said = b""
        self._end: str | None = None
        added = variables or {}
        try:
            self._process = subprocess.Popen(
                # UTF-8 whatever the locale, which may not have every sign.
                [word.encode("utf-8", "replace") for word in command],
                cwd=folder,
                env={
                    **os.environb,
                    **{k.encode(): v.encode("utf-8", "replace") for k, v in added.items()},
                },
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                start_new_session=True,
            )
        except (OSError, ValueError) as fault:
            why = getattr(fault, "strerror", None) or fault
            self._end = f"{self._name} cannot be started: {why}"
            return
        assert self._process.stdin is not None
        assert self._process.stderr is not None
        # A pipe holds more than this, so that writing to a program that does not read never waits.
        with contextlib.suppress(OSError), self._process.stdin as stdin:
            stdin.write(text.encode("utf-8", "replace"))
        os.set_blocking(self._process.stderr.fileno(), False)

    def look(self) -> str | None:
        """How it ended: empty where it went well, else what went wrong; None while it runs."""
        if self._end is None:
            self._listen()
            status = self._process.poll()
            if status is not None:
                self._listen()
                self._finish(self._words(status))
            elif self._ticks() >= self._until:
                self.stop()
                self._end = f"{self._name} was ended after {PATIENCE:g} s"
        return self._end

    def stop(self) -> None:
        """End it and whatever it started, if it still runs."""
        if self._end is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
            self._finish(f"{self._name} was ended")

    def _finish(self, end: str) -> None:
        assert self._process.stderr is not None
        self._process.stderr.close()
        self._end = end

    def _listen(self) -> None:
        """Keep the end of what it says; take the rest too, so that it never waits for us."""
        assert self._process.stderr is not None
        for _ in range(64):
            with contextlib.suppress(BlockingIOError):
                if heard := os.read(self._process.stderr.fileno(), 65536):
                    self._said = (self._said + heard)[-_KEPT:]
                    continue
            return

    def _words(self, status: int) -> str:
        if status == 0:
            return ""
        said = self._said.decode("utf-8", "replace").strip().splitlines()
        how = f"by signal {-status}" if status < 0 else f"with status {status}"
        return f"{self._name} ended {how}" + (f": {clean(said[-1], 200)}" if said else "")
