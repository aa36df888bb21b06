"""A store in a group's directory, used by two people of the group."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

import cavewatch
from cavewatch.core.journal import Noted
from cavewatch.store import RecorderLock, Store

OTHER, GROUP = 54321, 54322
"""Numbers of a user and of a group that nobody has."""
VIEWER = """
import os, sys
from pathlib import Path
from cavewatch.core.journal import Noted
from cavewatch.store import RecorderLock, Store

# After the imports, for which the other one need not have the right.
os.setgroups([])
os.setgid(int(sys.argv[3]))
os.setuid(int(sys.argv[2]))
os.umask(0o077)
path = Path(sys.argv[1])
store = Store.as_it_is(path)
print([entry.id for entry in store.entries()], RecorderLock(path).holder() is None)
store.append(2.0, 2.0, "EF", Noted("of the other"))
store.close()
"""

pytestmark = pytest.mark.skipif(os.getuid() != 0, reason="only root may act as another user")


@pytest.fixture
def shared() -> Iterator[Path]:
    """As the service's unit makes it: for the group, whose files belong to the group."""
    folder = Path(tempfile.mkdtemp(prefix="cavewatch-"))
    os.chown(folder, -1, GROUP)
    folder.chmod(0o2770)
    yield folder / "dairy.sqlite"
    shutil.rmtree(folder)


def view(path: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-c", VIEWER, str(path), str(OTHER), str(GROUP)],
        cwd=Path(cavewatch.__file__).parents[1],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    return done.stdout.strip()


@pytest.mark.parametrize("umask", [0o007, 0o022, 0o077])
def test_viewers_of_the_group_read_and_write_with_a_recorder_and_after_it_ended(
    shared: Path, umask: int
) -> None:
    before = os.umask(umask)
    lock = RecorderLock(shared)
    try:
        assert lock.acquire()
        with closing(Store.open(shared)) as store:
            store.append(1.0, 1.0, "MK", Noted("of the recorder"))
            assert view(shared) == "[1] False"
        lock.release()
        assert sorted(p.name for p in shared.parent.iterdir()) == [
            "dairy.sqlite",
            "dairy.sqlite.lock",
        ]
        assert view(shared) == "[1, 2] True"
        with closing(Store.open(shared)) as store:
            assert len(store.entries()) == 3
    finally:
        os.umask(before)
