import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cavewatch.core.brine.calcium import ANHYDROUS, DIHYDRATE, CalciumSource, solution
from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import Exchange, exchange, water_per_salt
from cavewatch.core.brine.restoring import (
    Batch,
    Calcium,
    Plan,
    Timing,
    Tub,
    What,
    When,
    plan,
    salt_to_add,
)
from cavewatch.core.brine.strength import saturation
from cavewatch.core.errors import CavewatchError, OutOfRangeError

TUBS = st.builds(
    lambda mass, strength: Tub(mass, mass * strength / 100.0),
    st.floats(20_000.0, 500_000.0),
    st.floats(10.0, 26.0),
)
TARGETS = st.floats(12.0, 26.2)
BATCHES = st.builds(
    lambda cheese, percent, ratio, face: Batch(exchange(cheese, percent, ratio), face),
    st.floats(0.0, 20_000.0),
    st.floats(0.5, 3.0),
    st.floats(0.0, 3.0),
    st.floats(0.0, 300.0),
)


def carried_out(tub: Tub, result: Plan, batch: Batch | None, acid: float = 0.0) -> Tub:
    """The tub after the steps and the batch, with a pencil: sums of salt and of all else."""
    salt, water = tub.salt, tub.mass - tub.salt
    for step in result.steps:
        if step.what is What.DRAW_OFF:
            left = 1.0 - step.grams / (salt + water)
            salt, water = salt * left, water * left
        elif step.what is What.WATER:
            water += step.grams
        elif step.what is What.SALT:
            salt += step.grams
    water += result.calcium + acid
    if batch is not None:
        salt, water = salt - batch.exchange.salt, water + batch.exchange.water
    return Tub(salt + water, salt)


def grams(result: Plan, what: What, when: When) -> float:
    return sum(step.grams for step in result.steps if (step.what, step.when) == (what, when))


def listed(result: Plan) -> list[tuple[str, str, float]]:
    return [(step.when, step.what, round(step.grams, 6)) for step in result.steps]


def test_more_salt_must_go_in_than_the_cheese_took() -> None:
    used = Tub(100_000.0, 20_000.0).after(Exchange(400.0, 1000.0))
    assert salt_to_add(used, 20.0) == pytest.approx(650.0)


@given(TUBS, TARGETS)
def test_salt_or_water_added_gives_the_target(tub: Tub, target: float) -> None:
    restored = carried_out(tub, plan(tub, target), None)
    assert restored.strength == pytest.approx(target, abs=1e-9)
    assert grams(plan(tub, target), What.SALT, When.NOW) == pytest.approx(
        salt_to_add(tub, target), abs=1e-6
    )


@given(TUBS, TARGETS, BATCHES)
def test_a_plan_before_the_batch_is_on_target_when_it_is_lifted(
    tub: Tub, target: float, batch: Batch
) -> None:
    result = plan(tub, target, batch)
    ended = carried_out(tub, result, batch)
    assert ended.strength == pytest.approx(target, abs=1e-9)
    # Steps too small to be more than rounding (1e-12 of the brine) are not listed.
    assert result.end.mass == pytest.approx(ended.mass, rel=1e-10)
    assert result.end.salt == pytest.approx(ended.salt, rel=1e-10)
    assert grams(result, What.SALT, When.ON_THE_FACE) == pytest.approx(batch.face_salt, abs=1e-6)
    assert all(step.grams > 0.0 for step in result.steps)


@given(TUBS, TARGETS, BATCHES)
def test_salt_that_goes_in_now_dissolves(tub: Tub, target: float, batch: Batch) -> None:
    result = plan(tub, target, batch, temperature=12.0)
    salt = grams(result, What.SALT, When.NOW)
    water = grams(result, What.WATER, When.NOW)
    before = Tub(tub.mass + salt + water, tub.salt + salt)
    assert before.strength <= saturation(12.0) + 1e-9


def test_salt_that_would_not_dissolve_now_goes_in_after_the_batch() -> None:
    tub = Tub(10_000.0, 2600.0)
    result = plan(tub, 26.0, Batch(Exchange(400.0, 1000.0)), temperature=12.0)
    assert grams(result, What.SALT, When.NOW) == pytest.approx(salt_to_add(tub, saturation(12.0)))
    assert grams(result, What.SALT, When.AFTER) > 0.0
    assert result.end.strength == pytest.approx(26.0, abs=1e-9)


@given(TUBS, TARGETS, BATCHES)
def test_a_plan_after_the_batch_starts_from_what_the_batch_left(
    tub: Tub, target: float, batch: Batch
) -> None:
    result = plan(tub, target, batch, Timing.AFTER)
    left = tub.after(batch.exchange, batch.face_salt)
    assert carried_out(left, result, None).strength == pytest.approx(target, abs=1e-9)
    assert {step.when for step in result.steps} <= {When.NOW}
    assert result == plan(left, target)


def test_face_salt_is_taken_off_what_goes_into_the_brine() -> None:
    tub, given_up = Tub(100_000.0, 20_000.0), Exchange(400.0, 1000.0)
    without = plan(tub, 20.0, Batch(given_up))
    with_face = plan(tub, 20.0, Batch(given_up, 150.0))
    assert listed(without) == [("now", "salt", 650.0)]
    assert listed(with_face) == [("now", "salt", 500.0), ("on the face", "salt", 150.0)]


def test_brine_on_target_needs_nothing() -> None:
    assert plan(Tub(100_000.0, 20_000.0), 20.0).steps == ()


def test_brine_too_strong_gets_water_and_no_salt() -> None:
    result = plan(Tub(100_000.0, 24_000.0), 20.0)
    assert listed(result) == [("now", "water", 20_000.0)]


@given(TUBS, TARGETS, BATCHES, st.floats(0.5, 1.5))
def test_a_tub_that_may_hold_no_more_is_drawn_off_first_to_end_exactly_there(
    tub: Tub, target: float, batch: Batch, share: float
) -> None:
    hold = tub.mass * share
    free = plan(tub, target, batch)
    result = plan(tub, target, batch, hold=hold)
    ended = carried_out(tub, result, batch)
    assert ended.strength == pytest.approx(target, abs=1e-9)
    if free.end.mass > hold * (1.0 + 1e-9):
        assert ended.mass == pytest.approx(hold, rel=1e-9)
        assert result.steps[0].what is What.DRAW_OFF
    elif free.end.mass < hold * (1.0 - 1e-9):
        assert result == free


@given(TUBS, TARGETS, st.floats(0.5, 0.99))
def test_no_more_is_drawn_off_than_must_be(tub: Tub, target: float, share: float) -> None:
    # Keeping a little more brine than the plan does would overfill the tub.
    hold = tub.mass * share
    drawn = grams(plan(tub, target, hold=hold), What.DRAW_OFF, When.NOW)
    left = 1.0 - 0.999 * drawn / tub.mass
    kept = Tub(tub.mass * left, tub.salt * left)
    assert plan(kept, target).end.mass > hold


def test_a_tub_too_small_for_the_batch_is_refused() -> None:
    batch = Batch(Exchange(400.0, 1000.0))
    with pytest.raises(CavewatchError, match="1000 g of brine is too little for this batch"):
        plan(Tub(10_000.0, 2000.0), 20.0, batch, hold=1000.0)


def test_a_batch_that_takes_more_salt_than_there_is_is_refused() -> None:
    batch = Batch(Exchange(400.0, 1000.0))
    with pytest.raises(CavewatchError, match="a tub cannot hold -200 g of salt"):
        plan(Tub(1000.0, 200.0), 20.0, batch, Timing.AFTER)


def test_a_target_beyond_saturation_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"target strength is 26\.4 .* 0\.1 to 26\.3"):
        plan(Tub(1000.0, 200.0), 26.4, temperature=5.0)


SOURCES = st.sampled_from([ANHYDROUS, DIHYDRATE, solution(33.0)])


@given(
    TUBS,
    TARGETS,
    BATCHES,
    st.sampled_from(Timing),
    st.floats(0.0, 0.3),
    st.floats(0.0, 3.0),
    SOURCES,
    st.floats(0.0, 500.0),
    st.none() | st.floats(0.5, 1.5),
)
def test_salt_goes_in_for_calcium_and_acid_too(
    tub: Tub,
    target: float,
    batch: Batch,
    when: Timing,
    now: float,
    wanted: float,
    source: CalciumSource,
    acid: float,
    share: float | None,
) -> None:
    hold = None if share is None else share * tub.mass
    calcium = Calcium(now, wanted, source)
    result = plan(tub, target, batch, when, hold=hold, calcium=calcium, acid=acid)
    start, coming = (
        (tub, batch)
        if when is Timing.BEFORE
        else (tub.after(batch.exchange, batch.face_salt), None)
    )
    ended = carried_out(start, result, coming, acid)
    assert ended.strength == pytest.approx(target, abs=1e-9)
    assert ended.mass == pytest.approx(result.end.mass, rel=1e-10)
    drawn = grams(result, What.DRAW_OFF, When.NOW) / start.mass
    chloride = tub.mass * now * (1.0 - drawn) + result.calcium * source.content
    if result.calcium > 0.0:
        assert chloride / ended.mass == pytest.approx(wanted, abs=1e-9)
    else:
        assert chloride / ended.mass >= wanted - 1e-9
    if hold is not None:
        assert ended.mass <= hold * (1.0 + 1e-9)


def test_a_tub_filled_to_its_brim_by_calcium_is_drawn_off_for_it() -> None:
    tub = Tub(100_000.0, 20_000.0)
    calcium = Calcium(0.0, 0.1, ANHYDROUS)
    result = plan(tub, 20.0, hold=tub.mass, calcium=calcium)
    assert carried_out(tub, result, None).mass == pytest.approx(100_000.0)
    assert result.calcium == pytest.approx(100.0)
    assert result.steps[0].what is What.DRAW_OFF


def test_a_calcium_solution_too_thin_for_the_brine_is_refused() -> None:
    thin = Calcium(0.0, 4.0, solution(5.0))
    with pytest.raises(CavewatchError, match="5 % solution is too thin to bring 4 % calcium"):
        plan(Tub(1000.0, 200.0), 20.0, calcium=thin)


@given(st.floats(1.0, 1000.0), st.floats(1.0, 26.0), st.floats(0.1, 40.0))
def test_a_tub_holds_its_litres(litres: float, strength: float, temperature: float) -> None:
    tub = Tub.of(litres, strength, temperature)
    assert tub.strength == pytest.approx(strength, abs=1e-9)
    assert tub.mass / density(strength, temperature) == pytest.approx(litres)


@given(TUBS, BATCHES)
def test_what_the_cheese_gains_the_brine_loses(tub: Tub, batch: Batch) -> None:
    assume(tub.salt > batch.exchange.salt)
    after = tub.after(batch.exchange, batch.face_salt)
    assert tub.salt + batch.face_salt - after.salt == pytest.approx(batch.exchange.salt, abs=1e-6)
    assert after.water - tub.water == pytest.approx(batch.exchange.water, abs=1e-6)


@given(st.floats(0.0, 26.0), st.floats(0.0, 1.0))
def test_stronger_brine_draws_no_less_water(strength: float, more: float) -> None:
    weak, strong = water_per_salt(strength), water_per_salt(strength + more)
    assert weak.low <= weak.expected <= weak.high
    assert weak.expected <= strong.expected


@pytest.mark.parametrize(
    ("strength", "expected"), [(10.0, 0.0), (12.0, 0.0), (14.0, 1.125), (16.0, 2.25), (22.0, 2.25)]
)
def test_weak_brine_draws_no_water(strength: float, expected: float) -> None:
    assert water_per_salt(strength).expected == pytest.approx(expected)
