"""How the rows are shared out."""

from hypothesis import given
from hypothesis import strategies as st

from cavewatch.screens.plan import NARROW, Plan, plan

CHANNELS = [1, 0, 2, 2, 2]


def taken(found: Plan, width: int, channels: list[int], groups: int, alarms: int) -> int:
    places = sum(1 + n for n in channels) if found.full_places else len(channels)
    heading = (width >= NARROW) + found.groups_heading
    shown = min(alarms * found.alarm_rows, found.most_alarms)
    return shown + heading + places + groups * found.group_rows


def test_a_large_screen_shows_all_in_full() -> None:
    assert plan(120, 33, CHANNELS, 6, 2) == Plan(True, 2, 1, 8, True)


def test_at_80_by_24_five_places_six_groups_and_two_alarms_fit() -> None:
    found = plan(80, 20, CHANNELS, 6, 2)  # with a title, two urgent lines and the keys
    assert found == Plan(False, 2, 1, 5, False)
    assert taken(found, 80, CHANNELS, 6, 2) == 20


def test_at_40_by_20_the_same_fit_in_short() -> None:
    found = plan(40, 15, CHANNELS, 6, 2)  # with a title, three urgent lines and the keys
    assert found == Plan(False, 1, 2, 2, False) or taken(found, 40, CHANNELS, 6, 2) <= 15


@given(
    st.integers(20, 250),
    st.integers(4, 100),
    st.lists(st.integers(0, 2), min_size=1, max_size=8),
    st.integers(0, 40),
    st.integers(0, 12),
)
def test_a_plan_fits_unless_it_is_the_shortest(
    width: int, height: int, channels: list[int], groups: int, alarms: int
) -> None:
    found = plan(width, height, channels, groups, alarms)
    shortest = (found.full_places, found.group_rows, found.groups_heading) == (False, 1, False)
    assert shortest or taken(found, width, channels, groups, alarms) <= height
    assert not (found.full_places and width < NARROW)
