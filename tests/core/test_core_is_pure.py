"""What the import contracts say of single imports, shown for the whole of a run."""

import subprocess
import sys


def test_importing_the_core_loads_no_shell() -> None:
    code = (
        "import pkgutil, sys, importlib, cavewatch.core as core\n"
        "for found in pkgutil.walk_packages(core.__path__, 'cavewatch.core.'):\n"
        "    importlib.import_module(found.name)\n"
        "print(*{name.partition('.')[0] for name in sys.modules})"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(out.stdout.split())
    assert "numpy" in loaded
    assert not loaded & {"textual", "rich", "pint", "serial", "sqlite3", "sqlite_utils"}
