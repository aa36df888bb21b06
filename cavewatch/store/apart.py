"""A store brought up to date by a process of its own.

What migrations load, sqlite-utils and with it numpy where that is installed, would stay in the
memory of a recorder for months: 50 MB for a moment's work.
"""

import contextlib
import os
import subprocess
import sys
from pathlib import Path

import cavewatch

_LIBRARY = "sqlite_utils"
_OPEN = f"""
import sys, {_LIBRARY}
from pathlib import Path
from cavewatch.store import Store
Store.open(Path(sys.argv[1])).close()
"""


def update(path: Path) -> None:
    """Open the store in a short process that has the library, and so brings it up to date.

    Where that fails, and in a process that has the library itself, nothing is done: the caller
    sees that the store is as it was, and does it here, where a fault can be told.
    """
    if _LIBRARY in sys.modules:
        return
    root = str(Path(cavewatch.__file__).parents[1])
    known = os.pathsep.join([root, *filter(None, [os.environ.get("PYTHONPATH")])])
    with contextlib.suppress(OSError):
        subprocess.run(
            # Without the folder of the caller on its path, where a file may have a module's name.
            [sys.executable, "-P", "-c", _OPEN, str(path.absolute())],
            env={**os.environ, "PYTHONPATH": known},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
