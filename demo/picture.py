"""Draws the README's pictures: pages of the dashboard on the demo's Thursday evening, as SVG."""

import asyncio
import os
from pathlib import Path
from typing import NamedTuple

from textual.pilot import Pilot

from cavewatch.cli.replay import Replay
from cavewatch.screens import DashboardApp
from demo.days import march

HERE = Path(__file__).parent
MOMENT = march(5, 18, 30)
"""The upper cave's humidifier has run dry, and wheels stand in brine and dry salt."""


class Picture(NamedTuple):
    """One page as it is reached by keys."""

    name: str
    """Of the file."""
    keys: tuple[str, ...]
    width: int = 100
    height: int = 30


TOUR = (
    Picture("dashboard", (), height=34),
    Picture("place", ("2",)),
    Picture("wheel", ("3",)),
    Picture("tub", ("4",)),
    Picture("planner", ("5",)),
    Picture("alarms", ("6",)),
    Picture("phone", (), 40, 20),
)


async def draw(picture: Picture, replay: Replay, folder: Path) -> None:
    """Keep what a terminal of this size shows after these keys."""
    app = DashboardApp(replay.desk, ascii_only=False)
    async with app.run_test(size=(picture.width, picture.height)) as pilot:
        await settled(pilot)
        for key in picture.keys:
            await pilot.press(key)
            await settled(pilot)
        svg = app.export_screenshot()
        (folder / f"{picture.name}.svg").write_text(svg, encoding="utf-8")


async def settled(pilot: Pilot[None]) -> None:
    """Wait until what is worked out beside the screen is shown."""
    await pilot.pause()
    await pilot.pause(0.5)
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def tour(folder: Path) -> None:
    """Replay up to the moment, and draw all pictures there."""
    replay = Replay.opened(HERE / "week.csv", None, 900.0)
    replay.pause()
    replay.go_to(MOMENT)
    folder.mkdir(exist_ok=True)
    for picture in TOUR:
        asyncio.run(draw(picture, replay, folder))
    replay.close()


if __name__ == "__main__":
    os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")  # whoever draws, in colours
    os.environ.pop("NO_COLOR", None)
    os.environ.pop("COLORFGBG", None)
    tour(HERE / "pictures")
