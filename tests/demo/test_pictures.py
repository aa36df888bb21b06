"""The README's pictures: each is drawn by the one command, and each that is drawn is shown."""

import re
from pathlib import Path

from demo.picture import TOUR

ROOT = Path(__file__).parents[2]


def test_the_readme_shows_just_the_pictures_that_are_drawn() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"!\[[^]]+\]\((demo/[^)]+)\)", readme)
    assert sorted(shown) == sorted(f"demo/pictures/{picture.name}.svg" for picture in TOUR)
    assert all((ROOT / path).is_file() for path in shown)
