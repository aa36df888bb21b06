"""The course of a tub's strength: what it was at any time, by the same balance as its life."""

import pytest

from cavewatch.core.brine.course import course
from cavewatch.core.brine.life import life
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    BrineWork,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Tended,
)
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import fold

HOUR, DAY = 3600.0, 86400.0
TUB = Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0))
CAVE = Place("cave", PlaceKind.CAVE, {})
PLACES = {place.name: place for place in (TUB, CAVE)}
IN = Made((1, 2), "meadow", Method.BRINE, 2500.0, "tub")


@pytest.fixture
def told(style: Style):  # type: ignore[no-untyped-def]
    """The course at some times, and the life at any, of a journal."""

    def run(*acts: tuple[float, Act], times: list[float], lifts: dict[int, float] | None = None):  # type: ignore[no-untyped-def]
        entries = [Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(acts, start=1)]
        wheels, misfits = fold(entries, {"meadow": style}, PLACES)
        assert not misfits

        def lived(at: float):  # type: ignore[no-untyped-def]
            then, _ = fold([e for e in entries if e.at <= at], {"meadow": style}, PLACES)
            return life(TUB, entries, then, at).strength

        return course(TUB, entries, wheels, lifts or {}, times), lived

    return run


def test_nothing_is_told_before_anything_is_on_record(told) -> None:  # type: ignore[no-untyped-def]
    found, _ = told((2 * DAY, BrineMeasured("tub", 19.0)), times=[DAY, 2 * DAY, 3 * DAY])
    assert found[0] is None
    assert [span.expected for span in found[1:]] == pytest.approx([19.0, 19.0])
    assert told(times=[DAY])[0] == (None,)
    assert told(times=[])[0] == ()


def test_between_stays_it_is_the_strength_that_the_life_tells(told) -> None:  # type: ignore[no-untyped-def]
    acts = [
        (DAY, BrineMeasured("tub", 20.5)),
        (2 * DAY, IN),
        (4 * DAY, Lifted((1, 2), "cave")),
        (6 * DAY, Tended("tub", BrineWork.RESTORED, salt=500.0, water=1000.0)),
        (8 * DAY, Tended("tub", BrineWork.MIXED, strength=18.0)),
    ]
    times = [1.5 * DAY, 5 * DAY, 7 * DAY, 9 * DAY]
    found, lived = told(*acts, times=times)
    for at, span in zip(times, found, strict=True):
        assert span is not None
        want = lived(at)
        assert (span.low, span.expected, span.high) == pytest.approx(
            (want.low, want.expected, want.high), abs=1e-9
        )


def test_wheels_weaken_it_as_the_square_root_of_time(told) -> None:  # type: ignore[no-untyped-def]
    acts = [(DAY, BrineMeasured("tub", 20.0)), (2 * DAY, IN), (6 * DAY, Lifted((1, 2), "cave"))]
    found, _ = told(*acts, times=[2 * DAY, 3 * DAY, 6 * DAY])
    start, quarter, end = (span.expected for span in found)
    # A quarter of the time takes half of the salt.
    assert (start - quarter) / (start - end) == pytest.approx(0.5, abs=0.01)


def test_wheels_still_in_it_are_counted_up_to_their_lift(told) -> None:  # type: ignore[no-untyped-def]
    acts = [(DAY, BrineMeasured("tub", 20.0)), (2 * DAY, IN)]
    lifted = [*acts, (6 * DAY, Lifted((1, 2), "cave"))]
    lifts = {1: 6 * DAY, 2: 6 * DAY}
    times = [2 * DAY, 3 * DAY, 4 * DAY]
    assert told(*acts, times=times, lifts=lifts)[0] == told(*lifted, times=times)[0]
    assert told(*acts, times=times)[0][-1].expected == pytest.approx(20.0)


def test_a_wheel_that_ended_in_the_tub_took_salt_until_then(told) -> None:  # type: ignore[no-untyped-def]
    acts = [(DAY, BrineMeasured("tub", 20.0)), (2 * DAY, IN), (3 * DAY, Ended((1, 2), Ending.CUT))]
    found, lived = told(*acts, times=[4 * DAY])
    assert found[0].expected == pytest.approx(lived(4 * DAY).expected, abs=1e-9)
    assert found[0].expected < 20.0


def test_a_place_without_brine_has_none() -> None:
    with pytest.raises(CavewatchError, match="cave is no tub"):
        course(CAVE, [], {}, {}, [DAY])
