"""Signs for terminals without UTF-8."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from cavewatch.screens.glyphs import needs_ascii, to_ascii

SIGNS = st.text(
    st.characters(blacklist_categories=["Cc", "Cf", "Cs", "Mn", "Me", "Mc", "Cn", "Co"])
)


@given(SIGNS)
def test_every_text_becomes_ascii_of_the_same_width(text: str) -> None:
    plain = to_ascii(text)
    assert plain.isascii()
    assert cell_len(plain) == cell_len(text)


def test_a_gauge_and_a_countdown_stay_readable() -> None:
    assert to_ascii("──●── 10–15 °C") == "--o-- 10-15  C"
    assert to_ascii("◂ LOW ─── HIGH ▸") == "< LOW --- HIGH >"
    assert to_ascii("━━── ×600") == "==-- x600"


def test_a_braille_curve_keeps_its_heights() -> None:
    assert to_ascii("⣀⠤⠒⠉ ⠀") == "_.-^  "


@pytest.mark.parametrize(
    ("encoding", "term", "expected"),
    [
        ("utf-8", "xterm", False),
        ("UTF8", "tmux-256color", False),
        ("utf-8", "linux", True),
        ("iso8859-1", "xterm", True),
        (None, "xterm", True),
    ],
)
def test_ascii_is_used_where_the_terminal_shows_nothing_else(
    encoding: str | None, term: str, expected: bool
) -> None:
    assert needs_ascii(encoding, term) is expected
