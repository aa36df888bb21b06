"""The life of a tub's brine: what is carried forward, conserved, and asked for."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cavewatch.core.brine import upkeep
from cavewatch.core.brine.balance import NO_VOLUME, UNCOUNTED, UNDISSOLVED
from cavewatch.core.brine.capacity import capacity
from cavewatch.core.brine.defects import DEFECTS, matching
from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.brine.life import MORE_CALCIUM, UNTESTED, TubLife, life
from cavewatch.core.brine.upkeep import DAY, renew
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    BrineWork,
    Clarity,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Moved,
    Noted,
    Salted,
    Tended,
    Turned,
    Voided,
)
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import fold

END = 1000.0 * DAY
TUB = Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0))
STIRRED = Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0, stirred=True))
OTHERS = (
    Place("second tub", PlaceKind.TUB, {}, TubBrine(22.0, None, 12.0)),
    Place("tray", PlaceKind.TRAY, {}),
    Place("cave", PlaceKind.CAVE, {}),
)
PLACES = {place.name: place for place in (TUB, *OTHERS)}
Journal = list[tuple[float, Act]]


def entries(acts: Journal) -> list[Entry]:
    return [Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(acts, start=1)]


def made(*numbers: int, place: str = "tub", weight: float = 2500.0) -> Made:
    return Made(numbers, "meadow", Method.BRINE, weight, place)


@pytest.fixture
def lived(style: Style):  # type: ignore[no-untyped-def]
    def run(*acts: tuple[float, Act], at: float = END, place: Place = TUB) -> TubLife:
        journal = entries(list(acts))
        wheels, misfits = fold([e for e in journal if e.at <= at], {"meadow": style}, PLACES)
        assert not misfits
        return life(place, journal, wheels, at)

    return run


def mass(strength: float, litres: float = 60.0) -> float:
    return litres * density(strength, 12.0)


def test_before_the_first_entry_the_config_speaks(lived) -> None:  # type: ignore[no-untyped-def]
    found = lived()
    assert (found.since, found.measured, found.passed_kg) == (None, (), 0.0)
    assert found.strengths == ((0.0, 20.0),)
    assert found.strength.expected == pytest.approx(20.0)
    assert found.litres == pytest.approx(60.0)
    assert found.remarks == (UNTESTED,)


def test_a_place_without_brine_has_no_life() -> None:
    with pytest.raises(CavewatchError, match="cave is no tub"):
        life(PLACES["cave"], [], {}, END)


def test_lifted_wheels_weaken_the_brine_by_what_their_style_takes(lived) -> None:  # type: ignore[no-untyped-def]
    found = lived(
        (1.0, BrineMeasured("tub", 20.0)),
        (2.0, made(1, 2)),
        (2.0 + 2 * DAY, Lifted((1, 2), "cave")),
    )
    # 5 kg at 1.8 % (1.4 to 2.2) take 90 g (70 to 110) and give 2.25 times that (1.5 to 3).
    whole = mass(20.0)

    def left(salt: float, water: float) -> float:
        return 100 * (0.2 * whole - salt) / (whole - salt + water * salt)

    assert found.strength.expected == pytest.approx(left(90, 2.25), abs=1e-9)
    assert found.strength.low == pytest.approx(left(110, 3), abs=1e-9)
    assert found.strength.high == pytest.approx(left(70, 1.5), abs=1e-9)
    assert (found.passed_kg, found.in_now_kg) == (5.0, 0.0)
    assert found.lifted_at == 2.0 + 2 * DAY
    assert found.strengths[-1] == (1.0, 20.0)
    assert found.remarks == ()


def test_wheels_still_in_count_when_they_are_lifted(lived, style: Style) -> None:  # type: ignore[no-untyped-def]
    found = lived((1.0, BrineMeasured("tub", 20.0)), (2.0, made(1, 2)), (3.0, Salted((1, 2), 10.0)))
    assert found.strength.expected == pytest.approx(20.0)
    assert found.in_now_kg == 5.0
    ahead = found.when_lifted
    assert ahead.salt == pytest.approx(found.tub.salt - 90.0 + 20.0)
    assert ahead.water == pytest.approx(found.tub.water + 2.25 * 90.0)
    room = found.room(style)
    assert room == capacity(ahead, 18.0, 1.8, water_per_salt(ahead.strength))
    assert 0 < room.low < room.expected < room.high


def test_a_test_midway_has_seen_the_part_taken_till_then(lived) -> None:  # type: ignore[no-untyped-def]
    found = lived(
        (0.0, made(1)),
        (1 * DAY, BrineMeasured("tub", 20.0)),
        (4 * DAY, Lifted((1,), "cave")),
    )
    # Square root of time: half of the salt is in after a quarter of the stay.
    at_test = lived((0.0, made(1)), (1 * DAY, BrineMeasured("tub", 20.0)), at=2 * DAY)
    taken = at_test.tub.mass * 0.2 - found.tub.salt
    # The mass at the test was a little greater for the water given till then.
    assert taken == pytest.approx(2500 * 0.018 / 2, rel=0.3)
    assert found.passed_kg == 2.5


def test_a_moved_wheel_shares_its_salt_between_two_tubs(lived) -> None:  # type: ignore[no-untyped-def]
    second = replace(OTHERS[0], brine=TubBrine(20.0, 60.0, 12.0))
    acts = (
        (0.0, made(1)),
        (1 * DAY, Moved((1,), "second tub")),
        (4 * DAY, Lifted((1,), "cave")),
    )
    full = 0.2 * mass(20.0)
    first, later = lived(*acts), lived(*acts, place=second)
    assert full - first.tub.salt == pytest.approx(22.5)
    assert full - later.tub.salt == pytest.approx(22.5)


def test_a_wheel_that_ended_in_the_brine_has_left_it(lived) -> None:  # type: ignore[no-untyped-def]
    found = lived((0.0, made(1)), (DAY, Ended((1,), Ending.DISCARDED)))
    assert (found.in_now_kg, found.passed_kg) == (0.0, 2.5)
    assert found.tub.salt == pytest.approx(0.2 * mass(20.0) - 45.0)


def test_restoring_by_the_balance_moves_what_countdowns_go_by(lived) -> None:  # type: ignore[no-untyped-def]
    # 100 kg at 20 % that gave 0.4 kg of salt and gained 1.0 kg of water is 19.48 %; 0.65 kg of
    # salt bring it back, not 0.4.
    tub = Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 100_000 / density(20.0, 12.0), 12.0))
    cheese = made(1, weight=400 / 0.018)
    acts: Journal = [(0.0, cheese), (DAY, Lifted((1,), "cave"))]
    used = lived(*acts, place=tub)
    assert used.strength.expected == pytest.approx(100 * 19600 / 100_500, abs=1e-6)
    acts.append((2 * DAY, Tended("tub", BrineWork.RESTORED, salt=625.0)))
    found = lived(*acts, place=tub)
    assert found.strength.expected == pytest.approx(20.0, abs=1e-6)
    assert found.strengths[-1] == (2 * DAY, pytest.approx(20.0, abs=1e-6))


def test_work_without_salt_or_water_leaves_the_strength(lived) -> None:  # type: ignore[no-untyped-def]
    found = lived(
        (1.0, Tended("tub", BrineWork.SKIMMED)),
        (2.0, Tended("tub", BrineWork.FILTERED)),
        (3.0, Tended("tub", BrineWork.HEATED)),
        (4.0, Tended("tub", BrineWork.CLEANED)),
        (5.0, Tended("tub", BrineWork.DRAWN_OFF, drawn_off=mass(20.0, 10.0))),
    )
    assert found.strengths == ((0.0, 20.0),)
    assert found.litres == pytest.approx(50.0)
    times = (found.skimmed_at, found.filtered_at, found.heated_at, found.cleaned_at)
    assert times == (1.0, 2.0, 3.0, 4.0)


def test_fresh_brine_begins_a_new_life(lived) -> None:  # type: ignore[no-untyped-def]
    before: Journal = [
        (0.0, made(1)),
        (DAY, Lifted((1,), "cave")),
        (DAY, BrineMeasured("tub", 18.0, 5.2, 0.1, 12.0, Clarity.SLIMY)),
        (DAY, Tended("tub", BrineWork.SKIMMED)),
    ]
    stated = Tended("tub", BrineWork.MIXED, litres=50.0, strength=21.0)
    found = lived(*before, (2 * DAY, stated))
    assert (found.since, found.passed_kg, found.measured) == (2 * DAY, 0.0, ())
    assert (found.ph, found.clarity, found.skimmed_at, found.lifted_at) == (None,) * 4
    assert found.litres == pytest.approx(50.0)
    assert found.strengths[-1] == (2 * DAY, 21.0)
    assert found.remarks == ()
    weighed = Tended("tub", BrineWork.MIXED, salt=10_000.0, water=40_000.0)
    found = lived(*before, (2 * DAY, weighed))
    assert (found.tub.mass, found.tub.salt) == (50_000.0, 10_000.0)
    assert found.strengths[-1] == (2 * DAY, 20.0)


def test_without_a_volume_the_strength_stays_as_last_known(lived) -> None:  # type: ignore[no-untyped-def]
    second = PLACES["second tub"]
    acts: Journal = [
        (0.0, made(1, place="second tub")),
        (DAY, Lifted((1,), "cave")),
        (DAY, BrineMeasured("second tub", 19.0)),
        (DAY, Tended("second tub", BrineWork.RESTORED, salt=500.0)),
    ]
    found = lived(*acts, place=second)
    assert found.strength.low == found.strength.high == 19.0
    assert (found.litres, found.tub, found.remarks) == (None, None, (NO_VOLUME,))
    told = lived(*acts, (2 * DAY, BrineMeasured("second tub", litres=40.0)), place=second)
    assert told.litres == pytest.approx(40.0)
    assert told.remarks == ()


def test_a_test_of_something_else_leaves_the_strength(lived) -> None:  # type: ignore[no-untyped-def]
    found = lived((1.0, BrineMeasured("tub", 19.0)), (2.0, BrineMeasured("tub", ph=5.3)))
    assert found.strengths == ((0.0, 20.0), (1.0, 19.0))
    assert (found.strength_at, found.ph, found.ph_at) == (1.0, 5.3, 2.0)


def test_calcium_put_in_since_the_test_makes_it_unknown(lived) -> None:  # type: ignore[no-untyped-def]
    tested = (10.0, BrineMeasured("tub", calcium=0.04))
    added = (20.0, Tended("tub", BrineWork.RESTORED, calcium=50.0))
    again = (30.0, BrineMeasured("tub", calcium=0.1))
    assert (lived(tested).calcium, lived(tested, added).calcium) == (0.04, None)
    assert MORE_CALCIUM in lived(tested, added).remarks
    assert lived(tested, added, again).calcium == 0.1
    assert MORE_CALCIUM not in lived(tested, added, again).remarks
    assert MORE_CALCIUM not in lived(added).remarks


def test_salt_of_less_than_nothing_is_told_and_stops_nothing(lived) -> None:  # type: ignore[no-untyped-def]
    for work in (BrineWork.RESTORED, BrineWork.MIXED):
        found = lived((1.0, Tended("tub", work, salt=-500.0, strength=20.0)))
        assert "salt is -500 g" in found.remarks[-1]
        assert found.strength.expected == pytest.approx(20.0)


def test_impossible_entries_are_told_and_stop_nothing(lived) -> None:  # type: ignore[no-untyped-def]
    typo = lived((1.0, BrineMeasured("tub", 200.0)))
    assert typo.strength.expected == pytest.approx(20.0)
    assert "strength is 200 % w/w" in typo.remarks[-1]
    drained = lived((1.0, Tended("tub", BrineWork.DRAWN_OFF, drawn_off=1e6)))
    assert drained.tub is None
    assert drained.strength.expected == pytest.approx(20.0)
    assert "drawn off, more than the 69.1 kg in it" in drained.remarks[-1]
    heaped = lived((1.0, Tended("tub", BrineWork.RESTORED, salt=20_000.0)))
    assert heaped.strength.expected == pytest.approx(26.4, abs=0.05)
    assert heaped.remarks[-1] == f"{UNDISSOLVED}, {UNCOUNTED}"


def test_salt_on_the_bottom_counts_only_where_it_is_stirred(lived) -> None:  # type: ignore[no-untyped-def]
    heap = (1.0, Tended("tub", BrineWork.RESTORED, salt=20_000.0))
    water = (2.0, Tended("tub", BrineWork.RESTORED, water=2_000.0))
    still = lived(heap, water)
    assert still.strength.expected < 26.0
    assert lived(heap, (2.0, BrineMeasured("tub", 26.0))).remarks == ()
    kept = lived(heap, water, place=STIRRED)
    assert kept.strength.expected == pytest.approx(26.4, abs=0.05)
    assert kept.remarks[-1] == UNDISSOLVED
    assert kept.tub.salt - still.tub.salt == pytest.approx(13_800.0, rel=0.05)


# Over random histories


frozen = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
"""The fixtures here hold nothing that an example could change."""

WORKS = [work for work in BrineWork if work is not BrineWork.MIXED]
grams = st.floats(0.0, 2000.0)
unrelated: st.SearchStrategy[Act] = st.one_of(
    st.builds(Noted, st.text(max_size=5)),
    st.builds(BrineMeasured, st.just("second tub"), st.floats(5, 26)),
    st.builds(Tended, st.just("second tub"), st.sampled_from(WORKS), salt=grams),
    st.builds(BrineMeasured, st.just("tub"), ph=st.floats(4, 6)),
)
times = st.integers(1, 900).map(lambda day: day * DAY)


@st.composite
def histories(draw: st.DrawFn) -> Journal:
    """Wheels in and out of the tub, salted and turned, while it is tended; strengths untested."""
    acts: Journal = []
    for number in range(1, draw(st.integers(0, 6)) + 1):
        went_in, out = sorted(draw(st.tuples(times, times).filter(lambda t: t[0] != t[1])))
        acts.append((went_in, made(number, weight=draw(st.floats(200, 8000)))))
        middle = (went_in + out) / 2
        if draw(st.booleans()):
            acts.append((middle, Turned((number,))))
            acts.append((middle, Salted((number,), draw(st.floats(0, 60)))))
        if draw(st.booleans()):
            acts.append((out, Lifted((number,), "cave")))
    for _ in range(draw(st.integers(0, 5))):
        work = Tended("tub", draw(st.sampled_from(WORKS)), salt=draw(grams), water=draw(grams))
        acts.append((draw(times), work))
    return sorted(acts, key=lambda act: act[0])


@frozen
@given(st.data())
def test_salt_is_conserved_on_paper(lived, style: Style, data: st.DataObject) -> None:  # type: ignore[no-untyped-def]
    acts = data.draw(histories())
    found = lived(*acts, place=STIRRED)
    gone = {n for _, act in acts if isinstance(act, Lifted) for n in act.wheels}
    weight = {
        n: act.weight for _, act in acts if isinstance(act, Made) for n in act.wheels if n in gone
    }
    faces = sum(
        act.grams for _, act in acts if isinstance(act, Salted) for n in act.wheels if n in gone
    )
    work = [act for _, act in acts if isinstance(act, Tended)]
    begun = 0.2 * mass(20.0)
    taken = sum(weight.values()) * style.salt.value / 100.0
    put_in = sum(act.salt for act in work)
    assert found.tub.salt == pytest.approx(begun + put_in + faces - taken, rel=1e-9)
    least = mass(20.0) - begun + sum(act.water for act in work)
    assert found.tub.water >= least - 1e-6
    assert found.tub.water <= least + 2.25 * taken + 1e-6
    assert found.passed_kg == pytest.approx(sum(weight.values()) / 1000)


@frozen
@given(st.data())
def test_the_prediction_lies_between_its_bounds(lived, data: st.DataObject) -> None:  # type: ignore[no-untyped-def]
    found = lived(*data.draw(histories()))
    assert 0 <= found.strength.low <= found.strength.expected <= found.strength.high <= 26.6


@frozen
@given(st.data())
def test_a_test_of_the_strength_overrules_all_before(lived, data: st.DataObject) -> None:  # type: ignore[no-untyped-def]
    acts = data.draw(histories())
    found = lived(*acts, (END, BrineMeasured("tub", 19.3)))
    assert found.strength.low == pytest.approx(19.3)
    assert found.strength.high == pytest.approx(19.3)


@frozen
@given(st.data())
def test_unrelated_entries_and_their_order_change_nothing(lived, data: st.DataObject) -> None:  # type: ignore[no-untyped-def]
    acts = data.draw(histories())
    more = data.draw(st.lists(st.tuples(times, unrelated), max_size=6))
    alone, among = lived(*acts), lived(*acts, *more)
    shuffled = lived(*data.draw(st.permutations(more)), *acts)
    for found in (among, shuffled):
        assert found.strength.expected == pytest.approx(alone.strength.expected, abs=1e-9)
        assert [at for at, _ in found.strengths] == [at for at, _ in alone.strengths]
        known = [strength for _, strength in alone.strengths]
        assert [strength for _, strength in found.strengths] == pytest.approx(known)
        assert found.passed_kg == pytest.approx(alone.passed_kg)


@frozen
@given(st.data())
def test_a_voided_entry_never_was(lived, data: st.DataObject) -> None:  # type: ignore[no-untyped-def]
    acts = data.draw(histories())
    slip = (5 * DAY, Tended("tub", BrineWork.MIXED, strength=10.0))
    assert lived(*acts, slip, (END, Voided(len(acts) + 1))) == lived(*acts)


# Upkeep


def due(found: TubLife, at: float, in_use: bool) -> dict[str, float]:
    return {each.what: each.at for each in upkeep.tests_due(found, at, in_use)}


def test_the_strength_is_due_weekly_while_cheese_goes_through(lived) -> None:  # type: ignore[no-untyped-def]
    tested = (DAY, BrineMeasured("tub", 20.0, 5.2))
    asked = due(lived(tested), 3 * DAY, True)
    assert asked == {"measure the strength": 8 * DAY, "measure the pH": 31 * DAY}
    assert "measure the strength" not in due(lived(tested), 90 * DAY, False)
    assert due(lived(), 3 * DAY, True)["measure the strength"] == 3 * DAY


def test_after_a_batch_the_brine_is_looked_at_skimmed_and_measured_anew(lived) -> None:  # type: ignore[no-untyped-def]
    batch: Journal = [
        (0.0, BrineMeasured("tub", 20.0, 5.2)),
        (1.0, made(1)),
        (2 * DAY, Lifted((1,), "cave")),
    ]
    asked = due(lived(*batch), 3 * DAY, False)
    assert asked.keys() == {
        "look whether it is clear",
        "skim it",
        "measure the strength before the next batch",
        "measure the pH",
    }
    looked = (2.5 * DAY, BrineMeasured("tub", 20.0, clarity=Clarity.CLEAR))
    skimmed = (2.5 * DAY, Tended("tub", BrineWork.SKIMMED))
    assert due(lived(*batch, looked, skimmed), 3 * DAY, False).keys() == {"measure the pH"}


def test_nothing_speaks_against_good_brine(lived) -> None:  # type: ignore[no-untyped-def]
    good = BrineMeasured("tub", 20.0, 5.2, 0.1, 12.0, Clarity.CLEAR)
    assert renew(lived((1.0, good)), END) == ()


@pytest.mark.parametrize(
    ("found", "word"),
    [
        (BrineMeasured("tub", clarity=Clarity.SLIMY), "slimy"),
        (BrineMeasured("tub", clarity=Clarity.CLOUDY), "cloudy"),
        (BrineMeasured("tub", 15.0), "under 16 %"),
        (BrineMeasured("tub", ph=6.4), "pH of 6.4"),
        (BrineMeasured("tub", ph=4.2), "pH of 4.2"),
        (BrineMeasured("tub", calcium=0.02), "calcium chloride"),
        (Tended("tub", BrineWork.RESTORED, water=30_000.0), "under 16 %"),
    ],
)
def test_each_reason_to_treat_the_brine_is_told(lived, found: Act, word: str) -> None:  # type: ignore[no-untyped-def]
    (reason,) = renew(lived((1.0, found)), 2.0)
    assert word in reason
    assert "safe" not in reason


def test_old_and_worn_brine_is_told(lived) -> None:  # type: ignore[no-untyped-def]
    mixed = (0.0, Tended("tub", BrineWork.MIXED, litres=1000.0, strength=26.0))
    acts: Journal = [mixed]
    for number in range(1, 4):
        acts.append((number * DAY, made(number, weight=4_000_000.0)))
        acts.append((number * DAY + 1, Lifted((number,), "cave")))
        acts.append((number * DAY + 2, BrineMeasured("tub", 22.0, litres=1000.0)))
    assert "more than 10 kg" in " ".join(renew(lived(*acts), 5 * DAY))
    assert "neither filtered nor heated" in " ".join(renew(lived(*acts), 200 * DAY))
    heated = (150 * DAY, Tended("tub", BrineWork.HEATED))
    assert "neither" not in " ".join(renew(lived(*acts, heated), 200 * DAY))


def test_every_defect_has_a_cause_a_remedy_and_a_source() -> None:
    assert {each.name for each in DEFECTS} == {
        "soft or slimy rind",
        "greasy or sticky patches",
        "dry shell",
        "cracked rind",
        "gas",
        "off smell",
        "cloudiness",
    }
    for each in DEFECTS:
        assert all((each.looks, each.causes, each.do, each.source))


def test_a_defect_is_found_by_its_name_or_by_how_it_looks() -> None:
    assert [each.name for each in matching("Slimy")] == ["soft or slimy rind"]
    assert [each.name for each in matching("mucor")] == ["greasy or sticky patches"]
    assert matching("") == DEFECTS
    assert matching("moonshine") == ()
