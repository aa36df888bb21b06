"""Which times of an entry move when the clock, which was not set as it was written, is set."""

import pytest

from cavewatch.core.journal import Entry, Made, placed
from cavewatch.core.style import Method

WRITTEN, SHIFT = 1000.0, 5000.0


def make(**when: float | bool) -> Made:
    return Made((7,), "gouda", Method.BRINE, 4000.0, "tub", **when)  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", [False, True])
def test_when_wheels_were_made_moves_if_it_was_told_as_so_long_ago(typed: bool) -> None:
    act = make(made_at=100.0, made_ago=True, renneted_at=200.0, moulded_at=300.0, moulded_ago=True)

    moved = placed(Entry(1, 900.0, WRITTEN, "MK", act), SHIFT, typed)

    assert moved.act == make(
        made_at=5100.0, made_ago=True, renneted_at=200.0, moulded_at=5300.0, moulded_ago=True
    )
    assert (moved.at, moved.written) == (900.0 if typed else 5900.0, 6000.0)


def test_what_was_not_told_stays_untold() -> None:
    act = make()

    assert placed(Entry(1, 900.0, WRITTEN, "MK", act), SHIFT, typed=False).act == act
