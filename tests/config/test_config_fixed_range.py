"""A place whose own range holds whatever is in it."""

from pathlib import Path

import pytest

from cavewatch.config import load
from cavewatch.core.errors import CavewatchError

HEAD = """[dairy]
name = "D"
zone = "UTC"
[[place]]
name = "cave"
kind = "cave"
humidity = [80, 90]
"""


@pytest.mark.parametrize(("line", "fixed"), [("", False), ("fixed = true", True)])
def test_a_range_is_fixed_only_if_the_maker_says_so(tmp_path: Path, line: str, fixed: bool) -> None:
    path = tmp_path / "c.toml"
    path.write_text(HEAD + line)
    assert load(path).places[0].fixed is fixed


def test_fixed_is_true_or_false(tmp_path: Path) -> None:
    path = tmp_path / "c.toml"
    path.write_text(HEAD + "fixed = 1")
    with pytest.raises(CavewatchError, match=r"line 8: place\.fixed: 1 is neither true nor false"):
        load(path)
