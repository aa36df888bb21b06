"""Lines: cutting, padding, breaking, and what never reaches a terminal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from cavewatch.screens.lines import (
    Part,
    Role,
    cell,
    clean,
    cut,
    fit,
    pad,
    reach,
    spread,
    text_of,
    width_of,
    wrap,
)

WORDS = st.text(st.characters(blacklist_categories=["Cc", "Cf", "Cs", "Mn", "Me", "Zl", "Zp"]))


@given(WORDS, st.integers(1, 30))
def test_cut_text_is_never_wider_than_asked(words: str, width: int) -> None:
    assert cell_len(cut(words, width)) <= width


@given(WORDS, st.integers(1, 30), st.booleans())
def test_padded_text_is_just_as_wide_as_asked(words: str, width: int, right: bool) -> None:
    assert cell_len(pad(words, width, right)) == width


@given(st.lists(WORDS), st.integers(1, 30))
def test_a_fitted_line_is_never_wider_than_asked(texts: list[str], width: int) -> None:
    assert width_of(fit(tuple(Part(text) for text in texts), width)) <= width


@given(WORDS, WORDS, st.integers(10, 40))
def test_a_spread_line_is_just_as_wide_as_asked(left: str, right: str, width: int) -> None:
    assert width_of(spread((Part(left),), (Part(right),), width)) == width


@given(WORDS, st.integers(2, 30))
def test_wrapping_keeps_every_letter_and_the_width(words: str, width: int) -> None:
    lines = wrap(words, width)
    assert all(cell_len(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(words.split())


def test_an_ellipsis_shows_where_text_is_missing() -> None:
    assert cut("lower cave", 8) == "lower c…"
    assert text_of(fit((Part("lower "), Part("cave humidity")), 12)) == "lower cave…"


def test_the_blanks_of_a_cell_have_no_role() -> None:
    assert cell(Part("84 %", Role.ALERT), 6, right=True) == (Part("  "), Part("84 %", Role.ALERT))


@pytest.mark.parametrize("hostile", ["\x1b[2J\x1b]0;x\x07", "a\nb\rc", "\x9b31m", "abc\u202edcb"])
def test_what_a_terminal_could_obey_is_taken_out(hostile: str) -> None:
    assert clean(hostile).isprintable()


def test_markup_is_left_alone_as_plain_text() -> None:
    assert clean("[bold red]cave[/]") == "[bold red]cave[/]"


def test_a_repaint_reaches_no_further_than_what_changed() -> None:
    old = (Part("turn in 3 h 10"), Part(" 14–17 Washed curd"))
    new = (Part("turn in 3 h 09"), Part(" 14–17 Washed curd"))
    assert reach(old, new) == len("turn in 3 h 10")


def test_a_repaint_reaches_the_longer_line_where_the_lengths_differ() -> None:
    assert reach((Part("late 9 min"), Part(" x")), (Part("late 10 min"), Part(" x"))) == 13
