"""Fields of a form, without a screen."""

import pytest

from cavewatch.core.errors import CavewatchError
from cavewatch.screens.fields import EntryError, Field, check, numbers, whole


def plain(name: str, **more: object) -> Field:
    def read(text: str, _: object) -> str:
        if text == "bad":
            raise EntryError("'bad' is bad")
        return text

    return Field(name, name, read, lambda value, _: f"<{value}>", **more)  # type: ignore[arg-type]


def test_what_can_be_read_is_echoed_and_what_cannot_is_told() -> None:
    checked = check((plain("a"), plain("b")), {"a": "1", "b": "bad"})
    assert checked.values == {"a": "1"}
    assert checked.echoes == {"a": "<1>"}
    assert checked.faults == {"b": "'bad' is bad"}


def test_a_field_that_needs_a_wrong_one_says_nothing() -> None:
    needs = Field("b", "b", lambda text, values: values["a"] + text, lambda value, _: value)
    checked = check((plain("a"), needs), {"a": "bad", "b": "1"})
    assert (checked.echoes, list(checked.faults)) == ({"b": ""}, ["a"])
    assert check((plain("a"), needs), {"a": "x", "b": "1"}).values["b"] == "x1"


@pytest.mark.parametrize(
    ("text", "expected"),
    [("14", (14,)), ("14-16", (14, 15, 16)), ("16, 14–15", (14, 15, 16)), ("14;15", (14, 15))],
)
def test_wheel_numbers_are_read(text: str, expected: tuple[int, ...]) -> None:
    assert numbers(text, {14: 0, 15: 0, 16: 0}) == expected


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("17", "there is no wheel 17"),
        ("14-999999999", "there is no wheel 15"),
        ("14-13", "runs backwards"),
        ("x", "no wheel number"),
        ("14,", "no wheel number"),
        ("1-2-3", "no wheel number"),
        ("-4", "no wheel number"),
        ("²", "no wheel number"),
    ],
)
def test_what_is_no_wheel_is_refused_with_a_reason(text: str, why: str) -> None:
    with pytest.raises(CavewatchError, match=why):
        numbers(text, {14: 0})


@pytest.mark.parametrize("text", ["", "0", "-1", "1.5", "501", "x", "9" * 400, "²"])
def test_a_count_is_a_whole_number_in_bounds(text: str) -> None:
    with pytest.raises(EntryError):
        whole(text, 500)
    assert whole(" 12 ", 500) == 12
