"""What brings a tub back, with its range and in words."""

from types import SimpleNamespace

import pytest

from cavewatch.core.brine.exchange import Exchange
from cavewatch.core.brine.recovery import NOTHING, Recovery, still_to_come
from cavewatch.core.brine.restoring import Batch, Tub, What, When, plan
from cavewatch.core.countdown import Span
from cavewatch.units import Display

EMPTY = [Batch(NOTHING)] * 3


def test_the_range_is_that_of_the_plans() -> None:
    found = Recovery.of(60.0, Span(18.0, 18.5, 19.0), 20.0, 12.0, EMPTY)
    [(when, what, grams)] = found.steps()
    assert (when, what) == (When.NOW, What.SALT)
    for strength, expected in ((19.0, grams.low), (18.5, grams.expected), (18.0, grams.high)):
        [step] = plan(Tub.of(60.0, strength, 12.0), 20.0).steps
        assert step.grams == pytest.approx(expected)
    assert found.end.strength == pytest.approx(20.0)


def test_cheese_that_takes_more_asks_for_more() -> None:
    batches = [Batch(Exchange(salt, 2.0 * salt)) for salt in (50.0, 90.0, 150.0)]
    found = Recovery.of(60.0, Span(20.0, 20.0, 20.0), 20.0, 12.0, batches)
    [(_, what, grams)] = found.steps()
    assert what is What.SALT
    assert 50.0 < grams.low < grams.expected < grams.high


def test_it_is_told_in_the_makers_units() -> None:
    weak = Recovery.of(60.0, Span(18.0, 18.5, 19.0), 20.0, 12.0, EMPTY)
    assert list(weak.told(Display())) == [("now", "stir in 1.3 kg (0.9 to 1.7 kg) of salt")]
    assert weak.then(Display()) == "60.5 L at 20.0 % by weight"
    strong = Recovery.of(60.0, Span(21.0, 21.0, 21.0), 20.0, 12.0, EMPTY)
    [(when, words)] = strong.told(Display())
    assert when == "now"
    assert words.startswith("stir in 3.48 kg")
    assert words.endswith("of water, about 3.5 L")


def test_what_may_be_needed_is_told_as_that() -> None:
    found = Recovery.of(60.0, Span(19.5, 20.0, 20.5), 20.0, 12.0, EMPTY)
    words = [words for _, words in found.told(Display())]
    assert len(words) == 2
    assert all("perhaps as much as" in each for each in words)


def test_a_brine_on_target_needs_nothing() -> None:
    found = Recovery.of(60.0, Span(20.0, 20.0, 20.0), 20.0, 12.0, EMPTY)
    assert list(found.told(Display())) == [("now", "nothing: it is as strong as it shall be")]


def test_an_empty_tub_has_nothing_to_come() -> None:
    life = SimpleNamespace(tub=None, when_lifted=None)
    assert still_to_come(life, []) == (NOTHING, NOTHING, NOTHING)  # type: ignore[arg-type]
