"""Text from outside that means harm: no page lets it reach the terminal as more than text."""

import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from types import SimpleNamespace

import pytest
from rich.cells import cell_len
from textual.app import App

from cavewatch.core.alarms.alarm import Explanation
from cavewatch.core.journal import Noted, Voided
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.reading import Channel

HOSTILE = {
    "escape codes": "\x1b[2J\x1b]0;owned\x07\x1b[31mred\x9b2J\x1bPq\x1b\\\x00\x08\r\n",
    "markup": "[bold red]x[/] [link=file:///etc/passwd]y[/link] [@click=app.quit]z[/] [/",
    "10,000 characters": "x" * 10_000,
    "10,000 words": "ab " * 3_333,
    "right to left": "\u202egnorw\u202c גבינה \u2066isolated جبن",
    "wide": "熟成チーズ洞窟の塩水槽" * 3,
    "combining": "e\u0301" * 30 + "Z" + "\u0300\u0323\u0489" * 40,
    "joined": "👩‍🔬🧀️\u200b\ufeff\u2028\u2029" * 4,
    "lone surrogate": "a\ud83eb\udc00",
}
SIZES = [(80, 24), (120, 40), (40, 20)]
PAGES = "12345678"


def dairy(scene: SimpleNamespace, text: str) -> object:
    """A dairy in which this stands wherever the outside may write."""
    name = text[:200]
    places = (
        Place(name, PlaceKind.TUB, {}, TubBrine(20.1, 60.0, 13.0)),
        Place(f"{name} cave", PlaceKind.CAVE, {}),
    )
    desk = scene.FakeDesk(places)
    desk.styles = {
        id: replace(style, name=text, family=text[:300]) for id, style in desk.styles.items()
    }
    desk.title = text
    desk.words = text
    desk.append(scene.made(1, 2, place=name, lot=text), scene.NOW - 9 * scene.HOUR, text)
    desk.append(
        scene.made(3, place=f"{name} cave", salting_done=True, lot=text),
        scene.NOW - 30 * scene.DAY,
        text,
    )
    desk.append(Noted(text, (1,)), scene.NOW - scene.HOUR, text)
    desk.append(Noted(text), scene.NOW - scene.HOUR, text)
    desk.append(Voided(3, text), scene.NOW - scene.HOUR, text)
    desk.solve()
    desk.countdowns = {
        number: replace(found, reason=text, caution=text, shift=text)
        for number, found in desk.countdowns.items()
    }
    for place in (name, f"{name} cave"):
        for quantity in ("temperature", "humidity"):
            desk.latest[Channel(place, quantity)] = None  # the name alone; read below
    for channel in list(desk.latest):
        desk.read(str(channel), 12.0, scene.NOW - 5)
    told = Explanation(text, text, text, text, 4.0)
    desk.alarms = [replace(scene.TOO_DRY, explanation=told, key=f"{name} cave.humidity low")]
    return desk


def painted(app: App[None]) -> Iterator[str]:
    """The rows of the screen as they go to the terminal."""
    for strip in app.screen._compositor.render_strips():
        yield "".join(segment.text for segment in strip if not segment.control)


def harmful(text: str) -> list[str]:
    """What a terminal could obey, or that turns text around."""
    return [
        hex(ord(c))
        for c in text
        if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp")
        or c in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    ]


def check(app: App[None], width: int, where: str) -> None:
    for row in painted(app):
        assert harmful(row) == [], where
        assert cell_len(row) == width, f"{where}: {row!r}"


@pytest.mark.parametrize(
    "size",
    [pytest.param(s, marks=() if s == (40, 20) else pytest.mark.long) for s in SIZES],
    ids=lambda size: f"{size[0]}x{size[1]}",
)
@pytest.mark.parametrize("what", HOSTILE)
async def test_every_page_shows_it_as_harmless_text(
    scene: SimpleNamespace, what: str, size: tuple[int, int]
) -> None:
    desk = dairy(scene, HOSTILE[what])
    async with scene.dashboard(desk, *size) as pilot:
        for key in PAGES:
            await pilot.press(key)
            await pilot.pause()
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            check(pilot.app, size[0], f"page {key}")
            await pilot.press("end", "enter")
            await pilot.pause()
            check(pilot.app, size[0], f"opened from page {key}")


@pytest.mark.parametrize("what", HOSTILE)
async def test_every_form_shows_it_as_harmless_text(scene: SimpleNamespace, what: str) -> None:
    desk = dairy(scene, HOSTILE[what])
    async with scene.dashboard(desk, 40, 20) as pilot:
        for key in "tnwmrezc":
            await pilot.press(key)
            await pilot.pause()
            check(pilot.app, 40, f"form {key}")
            await pilot.press("escape")
            await pilot.pause()
