"""The desk's wheels: folded from the journal only when something in it is new."""

from collections.abc import Iterator
from contextlib import closing
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cavewatch.cli.desk import StoreDesk
from cavewatch.core import dairy as module
from cavewatch.core.journal import Made, Moved, Noted
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.style import Method
from cavewatch.store import Store
from cavewatch.styles import load
from cavewatch.units import Display

NOW = 1_772_000_000.0
CAVES = [Place("upper cave", PlaceKind.CAVE, {}), Place("lower cave", PlaceKind.CAVE, {})]


class Watched:
    """A desk at a time that can be set."""

    def __init__(self, store: Store) -> None:
        self.at = NOW
        self.desk = StoreDesk(
            store,
            lambda: self.at,
            title="invented",
            zone=ZoneInfo("UTC"),
            display=Display(),
            initials="MK",
            styles=load(),
            places=CAVES,
            channels={},
            notice=lambda: "",
        )


@pytest.fixture
def watched() -> Iterator[Watched]:
    with closing(Store.in_memory()) as store:
        yield Watched(store)


def made(*numbers: int) -> Made:
    style = next(iter(load()))
    return Made(numbers, style, Method.DRY, 2300.0, "upper cave", salting_done=True)


def test_the_journal_is_folded_anew_only_when_an_entry_came(
    watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    folded: list[int] = []
    real: Any = module.fold
    monkeypatch.setattr(
        module, "fold", lambda entries, *rest: folded.append(len(entries)) or real(entries, *rest)
    )
    desk = watched.desk
    desk.append(made(1), NOW - 60, "MK")
    for _ in range(3):
        watched.at += 20
        assert list(desk.picture().wheels) == [1]
    desk.append(Noted("quiet"), NOW, "MK")
    desk.picture()
    assert folded == [1, 2]


def test_an_entry_counts_from_its_time_on_and_not_before(watched: Watched) -> None:
    desk = watched.desk
    desk.append(made(1), NOW - 60, "MK")
    desk.append(Moved((1,), "lower cave"), NOW + 60, "MK")
    assert desk.picture().wheels[1].place == "upper cave"
    watched.at = NOW + 61
    assert desk.picture().wheels[1].place == "lower cave"
    watched.at = NOW
    assert desk.picture().wheels[1].place == "upper cave"
