import pytest

from cavewatch.core.journal import (
    Act,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Moved,
    Salted,
    Turned,
    Voided,
)
from cavewatch.core.place import Place
from cavewatch.core.shape import Cylinder
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Event, Standing, Wheel, fold


def made(*numbers: int, place: str = "tub", method: Method = Method.BRINE, **more: object) -> Made:
    return Made(numbers, "meadow", method, 2500.0, place, **more)  # type: ignore[arg-type]


@pytest.fixture
def folded(style: Style, places: dict[str, Place]):  # type: ignore[no-untyped-def]
    def run(*acts: Act | tuple[float, Act]) -> tuple[dict[int, Wheel], tuple[str, ...]]:
        entries = []
        for index, act in enumerate(acts):
            at, what = act if isinstance(act, tuple) else (100.0 * index, act)
            entries.append(Entry(index + 1, at, at, "MK", what))
        return fold(entries, {"meadow": style}, places)

    return run


def events(wheel: Wheel) -> list[Event]:
    return [happening.event for happening in wheel.history]


def test_a_make_is_so_many_wheels_in_one_entry(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded(made(4, 5, 6, lot="March 2"))
    assert sorted(wheels) == [4, 5, 6]
    assert {wheel.make for wheel in wheels.values()} == {1}
    assert all(wheel.standing is Standing.IN_BRINE for wheel in wheels.values())


def test_the_size_follows_from_the_weight_unless_it_was_measured(folded) -> None:  # type: ignore[no-untyped-def]
    size = Cylinder(20.0, 8.0)
    wheels, _ = folded(made(1), made(2, shape=size))
    assert wheels[2].shape == size
    assert wheels[1].shape.volume == pytest.approx(2500 / 1.08)
    assert wheels[1].shape.height / wheels[1].shape.diameter == pytest.approx(0.4)


def test_a_wheel_goes_through_its_salting(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, misfits = folded(
        made(4), Salted((4,), 9.0), Turned((4,)), Lifted((4,), "near cave"), Ended((4,), Ending.CUT)
    )
    assert not misfits
    assert events(wheels[4]) == [Event.IN, Event.SALTED, Event.TURNED, Event.OUT]
    assert wheels[4].place == "near cave"
    assert wheels[4].salted_out_at == 300.0
    assert wheels[4].standing is Standing.ENDED
    assert wheels[4].basis == 5


def test_moving_out_of_the_tub_ends_the_salting_and_into_it_begins_one(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded(made(4), Moved((4,), "far cave"))
    assert wheels[4].standing is Standing.AGING
    wheels, _ = folded(made(4, place="tray", method=Method.DRY), Moved((4,), "tub"))
    assert wheels[4].standing is Standing.IN_BRINE
    assert events(wheels[4]) == [Event.IN, Event.IN]


def test_a_dry_salted_wheel_may_change_trays(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded(made(4, place="tray", method=Method.DRY), Moved((4,), "near cave"))
    assert wheels[4].standing is Standing.IN_DRY_SALT


def test_wheels_salted_before_or_in_the_curd_just_age(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded(
        made(4, place="far cave", salting_done=True, made_at=-9e6),
        made(5, place="far cave", method=Method.MILLED),
    )
    assert {wheel.standing for wheel in wheels.values()} == {Standing.AGING}
    assert wheels[4].made_at == -9e6


def test_turning_in_the_cave_is_no_part_of_salting(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded(made(4), Lifted((4,), "near cave"), Turned((4,)))
    assert events(wheels[4]) == [Event.IN, Event.OUT]


def test_an_entry_typed_late_counts_when_it_happened(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded((0.0, made(4)), (900.0, Salted((4,), 9.0)), (500.0, Turned((4,))))
    assert events(wheels[4]) == [Event.IN, Event.TURNED, Event.SALTED]


def test_a_voided_entry_leaves_no_trace_in_the_wheel(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, _ = folded(made(4), Turned((4,)), Voided(2))
    assert events(wheels[4]) == [Event.IN]


def test_what_does_not_fit_is_named_and_nothing_else_is_lost(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, misfits = folded(
        made(4),
        Made((5,), "moonstone", Method.BRINE, 900.0, "tub"),
        made(6, place="attic"),
        made(4),
        Turned((4, 7)),
        Moved((4,), "attic"),
        Made((8,), "meadow", Method.BRINE, 0.0, "tub"),
    )
    assert misfits == (
        "entry 2: there is no style 'moonstone' in the style book",
        "entry 3: there is no place 'attic' in the config",
        "entry 4: wheel 4 is there already",
        "entry 5: there is no wheel 7 at that time",
        "entry 6: there is no place 'attic' in the config",
        "entry 7: a wheel must weigh more than 0 g",
    )
    assert events(wheels[4]) == [Event.IN, Event.TURNED]


def test_a_wheel_keeps_its_own_temperature_if_it_can_be(folded) -> None:  # type: ignore[no-untyped-def]
    wheels, misfits = folded(made(1, temperature=31.0), made(2, temperature=300.0))
    assert wheels[1].temperature == 31.0
    assert 2 not in wheels
    assert misfits == ("entry 2: a wheel goes to salt at 0 to 45 degC, not 300",)
