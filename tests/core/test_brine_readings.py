"""Hydrometer, refractometer and dried sample: what they make of a reading, and of each other."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cavewatch.core.brine import dried, hydrometer, refractometer
from cavewatch.core.brine.agreement import ImpossibleReadingError, Measured, together
from cavewatch.core.brine.density import density, strength_of, with_calcium
from cavewatch.core.brine.hydrometer import Hydrometer, Scale
from cavewatch.core.brine.scales import to_sg
from cavewatch.core.brine.strength import SIXTY_F, STRONGEST, saturation
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError, OutOfRangeError

SG = Hydrometer(Scale.SG, SIXTY_F)
BAUME = Hydrometer(Scale.BAUME, SIXTY_F)
SALOMETER = Hydrometer(Scale.SALOMETER, SIXTY_F)


def measured(low: float, expected: float, high: float, by: str = "hydrometer") -> Measured:
    return Measured(Span(low, expected, high), by)


def width(one: Measured) -> float:
    return one.strength.high - one.strength.low


@given(
    st.sampled_from(Scale),
    st.sampled_from([15.0, SIXTY_F, 20.0]),
    st.floats(1.0, 24.0),
    st.floats(0.0, 40.0),
)
def test_a_hydrometer_reads_what_it_shows(
    scale: Scale, calibrated: float, strength: float, temperature: float
) -> None:
    instrument = Hydrometer(scale, calibrated)
    below_zero = density(strength, temperature) < density(0.0, calibrated)
    assume(scale is not Scale.SALOMETER or not below_zero)
    reading = hydrometer.shows(instrument, strength, temperature)
    span = hydrometer.read(instrument, reading, temperature).strength
    assert span.expected == pytest.approx(strength, abs=1e-6)
    assert span.low < span.expected < span.high


@given(st.floats(1.0, 24.0), st.floats(0.0, 40.0), st.floats(0.0, 3.0))
def test_a_hydrometer_shows_calcium_and_reading_takes_it_out(
    strength: float, temperature: float, calcium: float
) -> None:
    reading = hydrometer.shows(SG, strength, temperature, calcium)
    found = hydrometer.read(SG, reading, temperature, calcium=calcium)
    assert found.strength.expected == pytest.approx(strength, abs=1e-6)


@given(st.floats(1.0, 26.0))
def test_at_its_calibration_an_sg_hydrometer_shows_the_scale(strength: float) -> None:
    assert hydrometer.shows(SG, strength, SIXTY_F) == pytest.approx(to_sg(strength))


def test_a_reading_that_is_not_corrected_for_cold_is_too_strong() -> None:
    reading = hydrometer.shows(SG, 20.0, 4.0)
    assert hydrometer.read(SG, reading, 4.0).strength.expected == pytest.approx(20.0)
    assert hydrometer.read(SG, reading, SIXTY_F).strength.expected > 20.5


def test_the_range_is_what_its_parts_come_to_in_quadrature() -> None:
    # 0.001 SG is 1.0 kg/m3; half a kelvin 0.25 at saturation; formula 0.5; glass nothing.
    half, formula = 0.001 * 999.05, 0.5
    kelvin = 0.5 * (
        density(saturation(SIXTY_F), SIXTY_F) - density(saturation(SIXTY_F), SIXTY_F + 1)
    )
    error = math.sqrt(half**2 + kelvin**2 + formula**2)
    span = hydrometer.read(SG, 1.151, SIXTY_F).strength
    found = density(span.expected, SIXTY_F)
    assert span.high == pytest.approx(strength_of(found + error, SIXTY_F), abs=1e-4)
    assert span.low == pytest.approx(strength_of(found - error, SIXTY_F), abs=1e-4)


def test_coarse_marks_cold_and_calcium_widen_the_range() -> None:
    usual = width(hydrometer.read(SG, 1.151, 12.0))
    assert width(hydrometer.read(Hydrometer(Scale.SG, SIXTY_F, 0.01), 1.151, 12.0)) > 2 * usual
    assert width(hydrometer.read(SG, 1.151, 5.0)) > usual
    assert width(hydrometer.read(SG, 1.151, 12.0, calcium=2.0)) > usual


@given(st.floats(10.0, 24.0), st.floats(0.0, 2.0), st.floats(5.0, 30.0))
def test_calcium_is_not_taken_for_salt(strength: float, calcium: float, temperature: float) -> None:
    mixed = with_calcium(density(strength, temperature), calcium, temperature)
    reading = mixed / density(0.0, SIXTY_F)
    found = hydrometer.read(SG, reading, temperature, calcium=calcium).strength
    assert found.expected == pytest.approx(strength, abs=1e-6)


@pytest.mark.parametrize(
    ("instrument", "reading", "words"),
    [
        (SG, 1.30, r"^SG 1\.300 is beyond saturated salt at 12 degC, which reads 1\.205 at most; "),
        (
            BAUME,
            300.0,
            r"^300\.0 Be is beyond saturated salt at 12 degC, which reads 24\.\d at most",
        ),
        (BAUME, 145.0, "beyond saturated salt"),
        (
            SALOMETER,
            120.0,
            r"^120 salometer is beyond .* which reads 100 at most; .* fines, calcium",
        ),
        (SG, 0.97, r"^SG 0\.970 is below water without salt at 12 degC, which reads 1\.000; "),
        (BAUME, -5.0, "below water without salt"),
        (SALOMETER, -4.0, "below water without salt"),
        (SG, float("nan"), "SG nan"),
        (SG, float("inf"), "beyond saturated salt"),
    ],
)
def test_what_no_brine_can_read_is_refused_with_reasons(
    instrument: Hydrometer, reading: float, words: str
) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        hydrometer.read(instrument, reading, 12.0)


@given(st.sampled_from([SG, BAUME, SALOMETER]), st.floats(-200.0, 400.0), st.floats(0.0, 40.0))
def test_any_reading_is_a_brine_or_refused(
    instrument: Hydrometer, reading: float, temperature: float
) -> None:
    try:
        span = hydrometer.read(instrument, reading, temperature).strength
    except ImpossibleReadingError:
        return
    assert 0.0 <= span.low <= span.expected <= span.high <= STRONGEST


def test_a_hair_beyond_saturation_is_saturated() -> None:
    most = hydrometer.shows(SG, saturation(12.0), 12.0)
    found = hydrometer.read(SG, most + 0.001, 12.0)
    assert found.strength.expected == pytest.approx(saturation(12.0))
    assert "saturated" in found.remarks[0]


def test_calcium_that_is_named_makes_a_higher_reading_possible() -> None:
    with pytest.raises(ImpossibleReadingError):
        hydrometer.read(SG, 1.215, 12.0)
    assert hydrometer.read(SG, 1.215, 12.0, calcium=2.0).strength.expected < 26.0


def test_a_salometer_has_no_mark_for_cold_saturated_brine() -> None:
    with pytest.raises(ImpossibleReadingError, match=r"no mark for brine of 26\.3 % at 4 degC"):
        hydrometer.shows(SALOMETER, 26.3, 4.0)


def test_marks_of_no_width_or_wider_than_the_stem_are_refused() -> None:
    for division in (0.0, -1.0, 250.0, float("nan")):
        with pytest.raises(CavewatchError, match=r"apart; write a width above 0 and up to 5, such"):
            Hydrometer(Scale.BAUME, 15.0, division)


@pytest.mark.parametrize(
    "read",
    [
        lambda passed: hydrometer.read(SG, 1.151, 12.0, passed=passed),
        lambda passed: refractometer.read(22.7, 20.0, passed=passed),
        lambda passed: dried.read(50.0, 10.0, passed=passed),
    ],
    ids=["hydrometer", "refractometer", "dried"],
)
def test_old_brine_may_be_weaker_but_not_stronger_than_it_reads(read) -> None:
    fresh, used, old, older = (read(passed).strength for passed in (None, 2.0, 10.0, 50.0))
    assert used.expected == old.expected == fresh.expected
    assert used.high == old.high == fresh.high
    assert fresh.low > used.low > old.low == older.low
    assert any("whey" in remark for remark in read(2.0).remarks)
    assert not any("old brine" in remark for remark in read(None).remarks)
    with pytest.raises(CavewatchError, match="cannot be below 0"):
        read(-1.0)


@given(st.floats(0.0, STRONGEST))
def test_a_refractometer_reads_what_it_shows(strength: float) -> None:
    span = refractometer.read(refractometer.shows(strength), 20.0).strength
    assert span.expected == pytest.approx(strength, abs=1e-6)
    assert span.low <= span.expected <= span.high


@given(st.floats(0.0, STRONGEST - 0.01))
def test_stronger_brine_shows_more_brix(strength: float) -> None:
    assert refractometer.shows(strength + 0.01) > refractometer.shows(strength)


def test_a_refractometer_away_from_20_degrees_is_less_sure() -> None:
    assert width(refractometer.read(22.7, 12.0)) > width(refractometer.read(22.7, 20.0))
    with pytest.raises(OutOfRangeError, match="from 10 to 30 degC"):
        refractometer.read(22.7, 4.0)


@pytest.mark.parametrize(
    ("brix", "words"),
    [
        (32.0, r"32\.0 Brix is beyond saturated salt, which reads 29\.\d at most; .*shows salt"),
        (-1.0, "below water without salt"),
        (float("nan"), "nan Brix"),
    ],
)
def test_what_no_brine_can_show_is_refused(brix: float, words: str) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        refractometer.read(brix, 20.0)


def test_a_dried_sample_is_residue_over_sample_and_an_upper_estimate() -> None:
    found = dried.read(50.0, 10.0)
    assert found.strength.expected == pytest.approx(20.0)
    # By hand: 0.0707 g on 10 g, the same share of 50 g, and 0.05 g of damp.
    assert width(found) / 2 == pytest.approx(
        100 / 50 * math.sqrt(0.0707**2 + (0.0707 / 5) ** 2 + 0.05**2), abs=1e-3
    )
    assert "upper estimate" in found.remarks[0]


def test_a_bigger_sample_and_a_finer_balance_say_more() -> None:
    usual = width(dried.read(50.0, 10.0))
    assert width(dried.read(500.0, 100.0)) < usual
    assert width(dried.read(50.0, 10.0, balance=0.01)) < usual


@pytest.mark.parametrize(
    ("sample", "dry", "words"),
    [
        (50.0, 20.0, r"20 g from 50 g is 40\.0 %, more than the 26\.6 % of saturated salt; dry it"),
        (0.0, 0.0, "the sample is 0 g; it must be above 0"),
        (-50.0, 10.0, "the sample is -50 g"),
        (50.0, -1.0, "the dry residue is -1 g"),
        (50.0, 4536.0, "less than the sample, 50 g"),
        (50.0, float("nan"), "the dry residue is nan g"),
    ],
)
def test_weights_that_cannot_be_are_refused(sample: float, dry: float, words: str) -> None:
    with pytest.raises(CavewatchError, match=words):
        dried.read(sample, dry)


def test_two_readings_that_agree_come_to_their_weighted_mean() -> None:
    # Weights 1 / 0.1^2 and 1 / 0.2^2: 4 to 1.
    both = together([measured(19.9, 20.0, 20.1), measured(19.9, 20.1, 20.3, by="refractometer")])
    assert both.strength.expected == pytest.approx(20.02)
    assert both.strength.high == pytest.approx(20.02 + 0.2 / math.sqrt(5))
    assert both.strength.low == pytest.approx(20.02 - 0.1)
    assert both.by == "hydrometer and refractometer"
    assert both.remarks == ()


def test_two_readings_that_do_not_agree_are_named_and_both_covered() -> None:
    both = together([measured(19.6, 19.7, 19.8), measured(21.9, 22.1, 22.3, by="refractometer")])
    assert (both.strength.low, both.strength.high) == (19.6, 22.3)
    assert "the hydrometer says 19.7 % and the refractometer 22.1 %" in both.remarks[0]
    assert "whey" in both.remarks[0]
    assert "calibration" in both.remarks[0]


def test_of_many_that_do_not_agree_the_farthest_apart_are_named_once() -> None:
    three = together(
        [
            measured(20.4, 20.6, 20.8, by="salometer hydrometer"),
            measured(19.6, 19.7, 19.8, by="SG hydrometer"),
            measured(20.5, 20.9, 21.3, by="Be hydrometer"),
        ]
    )
    (remark,) = three.remarks
    assert "the SG hydrometer says 19.7 % and the Be hydrometer 20.9 %" in remark


@given(
    st.lists(
        st.tuples(st.floats(5.0, 25.0), st.floats(0.0, 3.0), st.floats(0.0, 1.0)),
        min_size=1,
        max_size=4,
    )
)
def test_the_mean_lies_among_the_readings_and_in_its_range(
    parts: list[tuple[float, float, float]],
) -> None:
    all_ = [measured(mid - below, mid, mid + above) for mid, below, above in parts]
    span = together(all_).strength
    near = 1e-9
    assert min(mid for mid, _, _ in parts) - near <= span.expected
    assert span.expected <= max(mid for mid, _, _ in parts) + near
    assert min(one.strength.low for one in all_) - near <= span.low <= span.expected + near
    assert span.expected - near <= span.high <= max(one.strength.high for one in all_) + near


def test_no_reading_says_nothing() -> None:
    with pytest.raises(CavewatchError, match="give at least one"):
        together([])


def test_a_single_reading_stands_as_it_is() -> None:
    one = hydrometer.read(SG, 1.151, 12.0)
    assert together([one]) == one
