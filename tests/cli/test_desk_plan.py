"""The planner behind the dashboard answers as `cavewatch salt` does, and loads numpy only then."""

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.cli.desk import StoreDesk
from cavewatch.core.countdown import Action
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Assayed, Lifted, Made
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.planner import Question
from cavewatch.core.style import Method
from cavewatch.store import Store
from cavewatch.styles import load
from cavewatch.units import Display

NOW = clock.instant("2026-03-04 09:00", 0.0, ZoneInfo("UTC"))
DAY = 86400.0
GOUDA = Question("gouda", Method.BRINE, 2300.0, 12.0, 20.0)
PLACES = [
    Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0)),
    Place("cave", PlaceKind.CAVE, {}),
]


@pytest.fixture
def desk() -> Iterator[StoreDesk]:
    with closing(Store.in_memory()) as store:
        yield StoreDesk(
            store,
            lambda: NOW,
            title="",
            zone=ZoneInfo("UTC"),
            display=Display(),
            initials="MK",
            styles=load(),
            places=PLACES,
            channels={},
            notice=str,
        )


def salt(*words: str) -> dict:  # type: ignore[type-arg]
    found = CliRunner().invoke(main, ["salt", *words, "--json"])
    assert found.exit_code == 0, found.output
    return json.loads(found.output)  # type: ignore[no-any-return]


def test_it_answers_as_the_shell_does(desk: StoreDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", "/nowhere")
    asked = replace(GOUDA, litres=60.0, wheels=3)
    found = desk.plan(asked)()
    shell = salt(
        "--style", "gouda", "--weight", "2300 g", "--brine", "20 %", "--temperature", "12 degC",
        "--tub", "60 L", "--wheels", "3",
    )  # fmt: skip
    assert found.question == asked
    assert found.steps[-1].action is Action.LIFT
    assert found.steps[-1].at.expected / 3600 == pytest.approx(
        shell["lift_after_hours"]["expected"]
    )
    assert found.salt.expected == pytest.approx(shell["salt_percent"]["expected"])
    assert found.brine is not None
    assert found.brine.expected == pytest.approx(shell["brine_after_percent"]["expected"])
    assert list(found.remarks) == shell["cautions"]
    assert found.in_at is None


@pytest.mark.parametrize(("left", "down"), [(18.94, ", and alone bring it to 18.9 %"), (None, "")])
def test_it_says_that_it_does_not_count_the_wheels_in_the_tub(
    desk: StoreDesk, left: float | None, down: str
) -> None:
    alone = replace(GOUDA, litres=60.0)
    found = desk.plan(replace(alone, others=(1, 2, 3), others_leave=left))()
    assert found.remarks[-1] == (
        "counts the planned wheels alone: wheels 1–3 in the tub still take salt from it" + down
    )
    assert found.steps == desk.plan(alone)().steps
    assert not any("planned wheels alone" in each for each in desk.plan(alone)().remarks)


def test_waking_hours_move_turns_and_lift(desk: StoreDesk) -> None:
    free = desk.plan(GOUDA)()
    asked = replace(GOUDA, out_by=NOW + 4 * DAY, awake=(6 * 3600.0, 22 * 3600.0))
    found = desk.plan(asked)()
    assert found.in_at is not None
    times = [found.in_at, *(found.in_at + step.at.expected for step in found.steps)]
    assert all(6 * 3600 <= at % DAY <= 22 * 3600 for at in times)
    assert times[-1] <= NOW + 4 * DAY
    lift = found.steps[-1].at
    assert lift.low <= lift.expected <= lift.high
    assert lift.high >= free.steps[-1].at.high


def test_dry_salt_and_milled_curd_are_planned_too(desk: StoreDesk) -> None:
    dry = desk.plan(Question("blue", Method.DRY, 2500.0, 12.0, 20.0))()
    assert {step.action for step in dry.steps} == {Action.COAT, Action.LIFT}
    assert dry.put_on is not None
    milled = desk.plan(Question("cheddar", Method.MILLED, 10_000.0, 12.0, 20.0))()
    assert (milled.steps, milled.shape, milled.even) == ((), None, None)
    assert milled.put_on is not None
    assert 100 < milled.put_on.expected < 500


def test_what_cannot_be_is_told_in_a_sentence(desk: StoreDesk) -> None:
    with pytest.raises(CavewatchError, match="far too little"):
        desk.plan(replace(GOUDA, litres=1.0, wheels=40))()


def test_it_counts_with_what_the_makers_wheels_taught(desk: StoreDesk) -> None:
    before = desk.plan(GOUDA)()
    desk.append(Made((1,), "gouda", Method.BRINE, 2300.0, "tub"), NOW - 9 * DAY, "MK")
    desk.append(Lifted((1,), "cave"), NOW - 8.5 * DAY, "MK")
    desk.append(Assayed((1,), 1.2, 0.1), NOW - DAY, "MK")
    desk.picture()
    found = desk.plan(GOUDA)()
    assert "from 1 of your wheels" in found.rests
    assert found.steps[-1].at.expected < before.steps[-1].at.expected


def test_numpy_is_loaded_only_when_it_is_worked_out(tmp_path: Path) -> None:
    code = """
import sys
from cavewatch.cli.planning import Planning
from cavewatch.core.planner import Question
from cavewatch.core.style import Method
from cavewatch.styles import load
import cavewatch.screens
question = Question("gouda", Method.BRINE, 2300.0, 12.0, 20.0)
work = Planning().of(question, None, [], None, load(), None, 0.0)
assert "numpy" not in sys.modules
assert work().steps
assert "numpy" in sys.modules
"""
    subprocess.run([sys.executable, "-c", code], check=True, cwd=tmp_path)
