"""The table of countdowns."""

import math
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.countdown import Action, Content, Countdown, Footing, Span, Step
from cavewatch.core.text import clean
from cavewatch.store import Store, StoreError

amounts = st.floats(-1e11, 1e11)
spans = st.builds(Span, amounts, amounts, amounts)
texts = st.text(max_size=40).map(lambda text: clean(text, 40))
footings = st.builds(
    Footing,
    lift=amounts,
    aim=amounts,
    strength=st.none() | amounts,
    temperature=amounts,
    rate=amounts,
    touches=st.lists(amounts, max_size=3).map(tuple),
    put_on=amounts,
    bare=amounts,
)
countdowns = st.builds(
    Countdown,
    wheel=st.integers(1, 6),
    basis=st.integers(1, 1000),
    solved_at=amounts,
    started_at=amounts,
    salt=spans,
    target=spans,
    steps=st.lists(
        st.builds(Step, st.sampled_from(Action), spans, st.none() | spans), max_size=3
    ).map(tuple),
    reason=texts,
    caution=texts,
    in_moisture=st.none() | spans,
    at_lift=st.none() | st.builds(Content, spans, spans, spans),
    pinned=st.none() | footings,
    shift=texts,
)


def countdown(wheel: int, basis: int = 1) -> Countdown:
    at = Span(100.0, 110.0, 120.0)
    salt = Span(1.0, 1.5, 2.0)
    return Countdown(wheel, basis, 50.0, 40.0, salt, salt, (Step(Action.LIFT, at),), "18 % brine")


@settings(deadline=None, max_examples=40)
@given(st.lists(st.lists(countdowns, max_size=4, unique_by=lambda c: c.wheel), max_size=3))
def test_the_set_put_last_is_the_set_that_comes_back(sets: list[list[Countdown]]) -> None:
    with closing(Store.in_memory()) as store:
        for each in sets:
            store.put_countdowns(each)

            assert store.countdowns() == sorted(each, key=lambda c: c.wheel)


def test_a_countdown_of_an_earlier_version_is_read_with_what_it_did_not_tell_left_empty(
    store: Store, path: Path
) -> None:
    span = '{"low": 1.0, "expected": 1.5, "high": 2.0}'
    step = f'{{"action": "lift", "at": {span}, "grams": null}}'
    plain = (
        '{"wheel": 14, "basis": 1, "solved_at": 50.0, "started_at": 40.0, '
        f'"salt": {span}, "target": {span}, "steps": [{step}], "reason": "x", "caution": ""}}'
    )
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("INSERT INTO countdown VALUES (14, ?)", (plain,))

    (found,) = store.countdowns()

    assert found.steps[0].action is Action.LIFT
    assert (found.in_moisture, found.at_lift, found.pinned, found.shift) == (None, None, None, "")


def brine(place: str, strength: float) -> Predicted:
    tub = Tub(60_000.0, 600.0 * strength)
    return Predicted(place, 50.0, Span(strength - 0.1, strength, strength + 0.1), tub, tub)


def test_brines_and_doubts_are_replaced_as_a_whole(store: Store) -> None:
    assert (store.brines(), store.doubts()) == ([], [])
    store.put_brines([brine("tub", 20.0), brine("second tub", 18.0)])
    store.put_doubts(["wheel 3 is left out"])
    assert store.brines() == [brine("tub", 20.0), brine("second tub", 18.0)]
    assert store.doubts() == ["wheel 3 is left out"]
    store.put_brines([])
    store.put_doubts(())
    assert (store.brines(), store.doubts()) == ([], [])


def test_the_same_brines_are_not_written_again(store: Store) -> None:
    store.put_brines([brine("tub", 20.0)])
    before = store._connection.total_changes
    store.put_brines([brine("tub", 20.0)])
    assert store._connection.total_changes == before


@pytest.mark.parametrize("plain", ["", "7", "[1]", '[{"place": "tub"}]'])
def test_brines_that_cannot_be_read_are_left_out_until_they_are_put_anew(
    store: Store, plain: str
) -> None:
    store.put_meta("brines", plain)
    assert store.brines() == []
    store.put_brines([brine("tub", 20.0)])
    assert store.brines() == [brine("tub", 20.0)]


def test_only_rows_that_changed_are_written(store: Store) -> None:
    store.put_countdowns([countdown(1), countdown(2), countdown(3)])
    before = store._connection.total_changes

    store.put_countdowns([countdown(1), replace(countdown(2), basis=9)])

    assert store._connection.total_changes - before == 2  # 2 replaced, 3 taken out


def test_nothing_is_written_if_nothing_changed(store: Store, path: Path) -> None:
    log = path.with_name(f"{path.name}-wal")
    store.put_countdowns([countdown(1), countdown(2)])
    with closing(Store.open(path)) as viewer:
        viewer.changed()
        size = log.stat().st_size

        store.put_countdowns([countdown(2), countdown(1)])

        assert log.stat().st_size == size
        assert not viewer.changed()


@pytest.mark.parametrize("plain", ["", "[1]", '{"wheel": 1}', '{"steps": [{"action": "sing"}]}'])
def test_one_that_cannot_be_read_is_left_out_until_it_is_put_anew(
    store: Store, path: Path, plain: str
) -> None:
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("INSERT INTO countdown VALUES (14, ?)", (plain,))

    assert store.countdowns() == []
    store.put_countdowns([countdown(14)])
    assert store.countdowns() == [countdown(14)]


@pytest.mark.parametrize(
    "bad", [replace(countdown(1), solved_at=math.inf), countdown(2**70)], ids=["never", "wheel"]
)
def test_a_number_that_cannot_be_stored_is_refused_and_the_old_set_stays(
    store: Store, bad: Countdown
) -> None:
    store.put_countdowns([countdown(1)])

    with pytest.raises(StoreError):
        store.put_countdowns([bad])

    assert store.countdowns() == [countdown(1)]
