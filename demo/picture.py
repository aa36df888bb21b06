"""Draws the README's picture: the dashboard on the demo's Thursday evening, as SVG."""

import asyncio
from pathlib import Path

from cavewatch.cli.replay import Replay
from cavewatch.screens import DashboardApp
from demo.days import march

HERE = Path(__file__).parent
MOMENT = march(5, 18, 30)
"""The upper cave's humidifier has run dry, and wheels stand in brine and dry salt."""


async def draw(width: int, height: int, file: Path) -> None:
    """Replay up to the moment and keep what a terminal of this size shows."""
    replay = Replay.opened(HERE / "week.csv", None, 900.0)
    replay.pause()
    replay.go_to(MOMENT)
    app = DashboardApp(replay.desk)
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.pause(1.5)
        file.write_text(app.export_screenshot(), encoding="utf-8")
    replay.close()


if __name__ == "__main__":
    asyncio.run(draw(100, 34, HERE / "dashboard.svg"))
