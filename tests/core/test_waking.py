"""Plans fitted into waking hours."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.waking import APART, DAY, GRID, HOUR, Waking, backwards, forwards

UP = Waking(6 * HOUR, 22 * HOUR, lambda at: at % DAY)
ALWAYS = Waking(0.0, DAY, lambda at: at % DAY)


def test_what_is_by_day_stays_where_it_is() -> None:
    table = forwards(7 * HOUR, [5 * HOUR], 10 * HOUR, UP)
    assert (table.touches, table.lift, table.dropped) == ((12 * HOUR,), 17 * HOUR, 0)


def test_what_falls_in_the_night_goes_to_its_nearer_edge() -> None:
    table = forwards(16 * HOUR, [7 * HOUR], 13 * HOUR, UP)
    assert table.touches == (22 * HOUR,)
    assert table.lift == 30 * HOUR


@given(
    in_at=st.floats(0.0, DAY),
    lift=st.floats(2 * HOUR, 20 * DAY),
    shares=st.lists(st.floats(0.05, 0.95), max_size=6),
    wakes=st.integers(0, 23),
    long=st.integers(1, 22),
)
def test_everything_is_in_waking_hours_in_order_and_apart(
    in_at: float, lift: float, shares: list[float], wakes: int, long: int
) -> None:
    up = Waking(wakes * HOUR, (wakes + long) % 24 * HOUR, lambda at: at % DAY)
    touches = sorted(share * lift for share in shares)
    table = forwards(in_at, touches, lift, up)
    times = [*table.touches, table.lift]
    assert all(up.awake(at) for at in times)
    stops = [in_at, *times]
    assert all(b - a >= APART - 1e-6 for a, b in pairwise(stops))
    assert len(table.touches) + table.dropped == len(touches)


def test_it_is_out_by_the_time_asked_for_even_if_that_is_early() -> None:
    table = forwards(16 * HOUR, [20 * HOUR], 30 * HOUR, UP, out_by=31 * HOUR)
    assert table.lift == 31 * HOUR
    assert table.touches[0] < table.lift


def test_backwards_finds_a_going_in_that_moves_nothing() -> None:
    table = backwards(3 * DAY + 7 * HOUR, [10 * HOUR], 24 * HOUR, UP, 0.0)
    in_at = table.in_at
    assert UP.awake(in_at)
    assert table.lift <= 3 * DAY + 7 * HOUR
    assert table.lift - in_at == pytest.approx(24 * HOUR, abs=GRID)
    assert table.touches[0] - in_at == pytest.approx(10 * HOUR, abs=GRID)


def test_backwards_without_nights_ends_at_the_time_asked_for() -> None:
    assert backwards(5 * DAY, [], 30 * HOUR, ALWAYS, 0.0).lift == pytest.approx(5 * DAY, abs=GRID)


def test_backwards_never_goes_in_before_now_and_begins_at_once_if_time_is_short() -> None:
    now = 8 * HOUR
    table = backwards(now + 10 * HOUR, [12 * HOUR], 24 * HOUR, UP, now)
    assert table.in_at == now
    assert table.lift == now + 10 * HOUR
    # In the night it waits for the morning.
    assert backwards(15 * HOUR, [], 24 * HOUR, UP, 2 * HOUR).in_at == 6 * HOUR


def test_hours_that_leave_no_time_are_refused() -> None:
    with pytest.raises(CavewatchError, match="for an hour or more"):
        Waking(6 * HOUR, 6 * HOUR, lambda at: at % DAY)
    with pytest.raises(CavewatchError, match="nobody is up"):
        forwards(23 * HOUR, [], 5 * HOUR, UP, out_by=28 * HOUR)
