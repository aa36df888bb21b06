"""`cavewatch notice try` as a person calls it."""

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli import main

DAIRY = """\
[dairy]
name = "Hill dairy"
zone = "UTC"
[[place]]
name = "cave"
kind = "cave"
"""
PHONE = """\
[[notice]]
name = "phone"
command = ["sh", "-c", 'printf %s "$1" > said', "-", "{title}"]
"""
BROKEN = '[[notice]]\nname = "lamp"\ncommand = ["sh", "-c", "echo burnt out >&2; exit 4"]\n'
Call = Callable[..., Result]


@pytest.fixture
def call(tmp_path: Path) -> Call:
    def run(text: str, *words: str) -> Result:
        (tmp_path / "d.toml").write_text(DAIRY + text)
        return CliRunner().invoke(main, ["--config", str(tmp_path / "d.toml"), "notice", *words])

    return run


def test_a_trial_goes_out_and_says_that_it_is_one(call: Call, tmp_path: Path) -> None:
    found = call(PHONE, "try")
    assert (found.output, found.exit_code) == ("phone: went out; see whether it came\n", 0)
    assert (tmp_path / "said").read_text() == "Hill dairy: this is a trial; nothing is wrong"


def test_what_fails_is_said_and_the_others_are_tried_all_the_same(
    call: Call, tmp_path: Path
) -> None:
    found = call(BROKEN + PHONE, "try")
    assert found.output.splitlines() == [
        "lamp: sh ended with status 4: burnt out",
        "phone: went out; see whether it came",
    ]
    assert found.exit_code == 1
    assert (tmp_path / "said").exists()


def test_one_can_be_tried_alone(call: Call) -> None:
    found = call(BROKEN + PHONE, "try", "PHONE")
    assert (found.output, found.exit_code) == ("phone: went out; see whether it came\n", 0)


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("", ("try",), "has no notices; write [[notice]]"),
        (PHONE + BROKEN, ("try", "mail"), "there is no notice 'mail'; there is 'phone', 'lamp'"),
    ],
)
def test_what_cannot_be_tried_is_one_sentence(
    call: Call, text: str, words: tuple[str, ...], said: str
) -> None:
    found = call(text, *words)
    assert said in found.output
    assert found.exit_code == 1
    assert "Traceback" not in found.output
