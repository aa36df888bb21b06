"""What the journal tells of a place's past."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cavewatch.core import journal as acts
from cavewatch.core.journal import (
    Acknowledged,
    Act,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Moved,
    Noted,
    Turned,
    Voided,
)
from cavewatch.core.place import Place
from cavewatch.core.place_history import PlaceHistory, place_history
from cavewatch.core.ranges import Range, range_of
from cavewatch.core.reading import Quantity
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import fold

HOUR, DAY = 3600.0, 86400.0
WARMTH = Quantity.TEMPERATURE


def made(*numbers: int, place: str = "near cave") -> Made:
    return Made(numbers, "meadow", Method.BRINE, 2500.0, place, salting_done=place != "tub")


def entries(*acts: tuple[float, Act]) -> list[Entry]:
    return [Entry(n + 1, at, at, "MK", act) for n, (at, act) in enumerate(acts)]


def history(
    journal: list[Entry],
    style: Style,
    places: dict[str, Place],
    since: float = 0.0,
    until: float = 100 * DAY,
) -> PlaceHistory:
    styles = {"meadow": style}
    return place_history(places["near cave"], Quantity, journal, styles, places, since, until)


def edges(found: PlaceHistory) -> list[tuple[float, float | None, float | None]]:
    return [
        (at, limits.low and limits.low.value, limits.high and limits.high.value)
        for at, limits in found.ranges[WARMTH]
    ]


def test_a_range_changes_when_wheels_come_grow_older_and_go(
    style: Style, places: dict[str, Place]
) -> None:
    journal = entries((DAY, made(1, 2)), (9 * DAY, Moved((1, 2), "far cave")))
    found = edges(history(journal, style, places))
    own = range_of(places["near cave"], WARMTH, (), 0.0)
    empty = (own.low and own.low.value, own.high and own.high.value)
    assert found == [(0.0, *empty), (DAY, 14, 18), (3 * DAY, 10, 13), (9 * DAY, *empty)]


def test_the_first_range_holds_from_the_beginning_of_the_span(
    style: Style, places: dict[str, Place]
) -> None:
    journal = entries((DAY, made(1)))
    assert edges(history(journal, style, places, since=2 * DAY)) == [
        (2 * DAY, 14, 18),
        (3 * DAY, 10, 13),
    ]


def test_a_wheel_that_was_gone_before_the_span_does_not_count(
    style: Style, places: dict[str, Place]
) -> None:
    journal = entries((0.0, made(1)), (DAY, Ended((1,), Ending.SOLD)))
    own = range_of(places["near cave"], WARMTH, (), 0.0)
    found = history(journal, style, places, since=2 * DAY)
    assert list(found.ranges[WARMTH]) == [(2 * DAY, own)]


def test_what_was_measured_is_looked_at_so_often(style: Style, places: dict[str, Place]) -> None:
    asked: list[float] = []

    def measured(at: float) -> dict[Quantity, float]:
        asked.append(at)
        return {}

    place_history(
        places["near cave"],
        (WARMTH,),
        entries((DAY, made(1))),
        {"meadow": style},
        places,
        DAY - 1.5 * HOUR,
        DAY + 1.5 * HOUR,
        measured,
        HOUR,
    )
    assert asked == [DAY - 1.5 * HOUR, DAY - HOUR, DAY, DAY + HOUR]


def test_turning_changes_no_range(style: Style, places: dict[str, Place]) -> None:
    journal = entries((DAY, made(1)), *((4 * DAY + n, Turned((1,))) for n in range(50)))
    assert len(history(journal, style, places).ranges[WARMTH]) == 3


def test_entries_about_the_place_its_sensors_its_alarms_and_its_wheels(
    style: Style, places: dict[str, Place]
) -> None:
    journal = entries(
        (1.0, made(1, place="far cave")),  # elsewhere
        (2.0, made(2)),
        (3.0, Turned((1,))),  # elsewhere
        (4.0, Turned((2,))),
        (5.0, acts.Testing("near cave.humidity", 99.0)),
        (6.0, acts.Testing("far cave.humidity", 99.0)),  # elsewhere
        (7.0, Acknowledged("near cave.humidity low")),
        (8.0, Moved((2,), "far cave")),  # leaves
        (9.0, Turned((2,))),  # elsewhere by now
        (10.0, Moved((1,), "near cave")),
        (11.0, Noted("about nothing")),
        (12.0, Ended((1,), Ending.SOLD)),
        (13.0, Turned((1,))),  # gone
    )
    found = history(journal, style, places)
    assert [entry.at for entry in found.entries] == [2, 4, 5, 7, 8, 10, 12]


def test_what_is_void_or_outside_the_span_is_left_out(
    style: Style, places: dict[str, Place]
) -> None:
    journal = entries(
        (1.0, made(1)),
        (2.0, Turned((1,))),
        (3.0, Turned((1,))),
        (4.0, Voided(3)),
        (5.0, made(2)),
        (6.0, made(3)),
    )
    found = history(journal, style, places, since=2.0, until=5.0)
    assert [entry.id for entry in found.entries] == [2, 5]


ACTS = st.one_of(
    st.builds(Moved, st.just((1,)), st.sampled_from(["near cave", "far cave", "tub"])),
    st.builds(Lifted, st.just((2,)), st.sampled_from(["near cave", None])),
    st.builds(Turned, st.just((1, 2))),
    st.builds(Ended, st.sampled_from([(1,), (2,)]), st.just(Ending.SOLD)),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.integers(2, 400), ACTS), max_size=8), st.integers(0, 400))
def test_at_any_time_the_range_is_that_of_the_journal_up_to_then(
    style: Style, places: dict[str, Place], more: list[tuple[int, Act]], hour: int
) -> None:
    first = [(HOUR, made(1)), (HOUR, made(2, place="tub"))]
    journal = entries(*first, *sorted(((at * HOUR, act) for at, act in more), key=lambda e: e[0]))
    at = hour * HOUR + 1.0
    wheels, _ = fold([e for e in journal if e.at <= at], {"meadow": style}, places)
    expected = range_of(places["near cave"], WARMTH, wheels.values(), at)
    found = history(journal, style, places, until=401 * HOUR).ranges[WARMTH]
    held: Range = next(limits for begins, limits in reversed(found) if begins <= at)
    assert held == expected
