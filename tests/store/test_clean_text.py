"""Text from outside, made safe to show."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.text import clean


@pytest.mark.parametrize(
    "text",
    [
        "Molly's wheel, 3,2 kg",
        "Käse ½ – fromage à pâte dure",
        "チーズ 🧀",
        "גבינה",
        "👩\u200d🌾 e\u0301",
    ],
)
def test_ordinary_unicode_stays_as_it_is(text: str) -> None:
    assert clean(text, 100) == text


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("\x1b[31mred\x1b[0m", "[31mred[0m"),
        ("\x9b31mred", "31mred"),
        ("title\x1b]0;gotcha\x07", "title]0;gotcha"),
        ("a\x00b\x7fc\x08", "abc"),
        ("one\ntwo\r\nthree\tfour", "one two  three four"),
        ("one\u2028two\u2029three\x85four", "one two three four"),
        ("\u202elive\u202c \u2066x\u2069", "live x"),
        ("half \ud83e a cheese", "half  a cheese"),
    ],
)
def test_what_a_terminal_could_obey_is_left_out(text: str, expected: str) -> None:
    assert clean(text, 100) == expected


@given(st.text(st.characters(codec=None)), st.integers(0, 50))
def test_clean_text_is_short_encodable_and_without_controls(text: str, limit: int) -> None:
    result = clean(text, limit)

    assert len(result) <= limit
    result.encode("utf-8")
    assert not any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in result)
    assert clean(result, limit) == result
