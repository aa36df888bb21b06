"""The form for work done on a brine, without a screen."""

from types import SimpleNamespace

import pytest

from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import BrineMeasured, BrineWork, Tended
from cavewatch.screens.brine_test import brine_test
from cavewatch.screens.brine_work import brine_work
from cavewatch.screens.fields import Checked, check
from cavewatch.screens.sheets import NOWHERE, Sheet


def typed(sheet: Sheet, **texts: str) -> Checked:
    return check(sheet.fields, {f.name: texts.get(f.name, f.initial) for f in sheet.fields})


@pytest.fixture
def sheet(scene: SimpleNamespace) -> Sheet:
    desk = scene.busy()
    return brine_work(desk, desk.picture(), NOWHERE)


def test_what_went_in_and_out_makes_an_entry(sheet: Sheet) -> None:
    found = typed(sheet, salt="1.5 lb", water="2 L", drawn_off="5 kg", calcium="60 g")
    assert not found.faults
    act = sheet.build(found.values)
    assert isinstance(act, Tended)
    assert (act.place, act.work) == ("brine tub", BrineWork.RESTORED)
    assert act.salt == pytest.approx(680.4, abs=0.1)
    assert act.water == pytest.approx(1996.0, abs=3.0)
    assert (act.drawn_off, act.calcium) == (5000.0, 60.0)
    assert found.echoes["salt"] == "680 g"


def test_work_alone_is_enough(sheet: Sheet) -> None:
    found = typed(sheet, work="filtered")
    assert sheet.build(found.values) == Tended("brine tub", BrineWork.FILTERED)


def test_fresh_brine_says_how_strong_it_is_or_what_it_is_made_of(sheet: Sheet) -> None:
    assert "how strong" in typed(sheet, work="mixed").faults["strength"]
    weighed = typed(sheet, work="mixed", salt="15 kg", water="60 L")
    assert not weighed.faults
    assert "the salt and the water" in weighed.echoes["strength"]
    stated = typed(sheet, work="mixed", strength="19 Be", litres="60 L")
    act = sheet.build(stated.values)
    assert isinstance(act, Tended)
    assert act.litres == 60.0
    assert act.strength == pytest.approx(19.9, abs=0.1)


@pytest.mark.parametrize("name", ["litres", "strength"])
def test_what_was_found_in_other_brine_is_a_test(sheet: Sheet, name: str) -> None:
    found = typed(sheet, work="skimmed", **{name: "60 L" if name == "litres" else "20 %"})
    assert "entered with b" in found.faults[name]


@pytest.mark.parametrize(
    ("texts", "name", "words"),
    [
        ({"work": "cleaned"}, "work", "never mix them"),
        ({"work": "mixed"}, "work", "food-grade salt"),
        ({"work": "heated"}, "work", "scalds"),
        ({"calcium": "60 g"}, "calcium", "goggles"),
    ],
)
def test_what_can_hurt_is_cautioned(
    sheet: Sheet, texts: dict[str, str], name: str, words: str
) -> None:
    assert words in typed(sheet, **texts).echoes[name]


def test_without_a_tub_there_is_no_form(scene: SimpleNamespace) -> None:
    desk = scene.FakeDesk(scene.PLACES[1:])
    with pytest.raises(CavewatchError, match="no tub in the config"):
        brine_work(desk, desk.picture(), NOWHERE)


def test_a_test_may_be_of_calcium_or_volume_alone(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    sheet = brine_test(desk, desk.picture(), NOWHERE)
    found = typed(sheet, calcium="0.1 %", litres="16 gal")
    assert not found.faults
    act = sheet.build(found.values)
    assert isinstance(act, BrineMeasured)
    assert (act.strength, act.calcium) == (None, pytest.approx(0.1))
    assert act.litres == pytest.approx(60.6, abs=0.1)
    assert found.echoes["litres"] == "61 L in the tub"
    assert "0.1 % calcium chloride" in found.echoes["calcium"]
