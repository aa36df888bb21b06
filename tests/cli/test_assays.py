"""Assays and weights as a person enters them."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli import main
from cavewatch.core.journal import Assayed, Weighed
from cavewatch.store import Store


@pytest.fixture
def enter(tmp_path: Path):  # type: ignore[no-untyped-def]
    (tmp_path / "d.toml").write_text(
        '[dairy]\nname = "Test"\nzone = "UTC"\ninitials = "TT"\n[store]\npath = "d.sqlite"\n'
        '[[place]]\nname = "tub"\nkind = "tub"\n'
        "[place.brine]\nstrength = 20\ntemperature = 12\n"
    )

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, ["--config", str(tmp_path / "d.toml"), "wheel", *words])

    made = run("new", "gouda", "--count", "3", "--place", "tub", "--at", "3 d ago")
    assert made.exit_code == 0, made.output
    return run


def acts(tmp_path: Path) -> list[object]:
    store = Store.open(tmp_path / "d.sqlite")
    try:
        return [entry.act for entry in store.entries()]
    finally:
        store.close()


def test_an_assay_is_entered_for_a_wheel_that_was_cut_too(enter, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    assert enter("end", "1", "--how", "cut").exit_code == 0
    found = enter("assay", "1", "2", "--salt", "1.9 %", "--error", "0.05 %")
    assert "entry 3: assayed, wheels 1" in found.output
    assert acts(tmp_path)[-1] == Assayed((1, 2), 1.9, 0.05)


def test_a_weight_is_entered_for_each(enter, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    assert "entry 2: weighed" in enter("weigh", "--make", "1", "--weight", "4.4 kg").output
    assert acts(tmp_path)[-1] == Weighed((1, 2, 3), 4400.0)


def test_the_planner_goes_by_what_the_assays_taught(enter, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    def planned(*words: str) -> str:
        config = ["--config", str(tmp_path / "d.toml")]
        found = CliRunner().invoke(main, [*config, "salt", "--style", *words])
        assert found.exit_code == 0, found.output
        return " ".join(found.output.split())

    before = planned("gouda")
    assert "of your wheels" not in before
    assert enter("assay", "1", "2", "--salt", "2.6 %", "--error", "0.1 %").exit_code == 0
    assert "from 2 of your wheels" in planned("gouda")
    assert "of your wheels" not in planned("gouda", "--rate-factor", "0.6")
    assert "of your wheels" not in planned("edam")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("assay", "1", "--salt", "1.9"), "1.9"),
        (("assay", "1", "--salt", "19 %"), "from 0 to 15 %"),
        (("assay", "1", "--salt", "0 %"), "above 0 %"),
        (("assay", "7", "--salt", "1.9 %"), "there is no wheel 7"),
        (("weigh", "1", "--weight", "heavy"), "heavy"),
    ],
)
def test_a_slip_is_one_sentence(enter, words, said) -> None:  # type: ignore[no-untyped-def]
    found = enter(*words)
    assert found.exit_code == 1
    assert said in found.output
    assert "Traceback" not in found.output
