"""Pages: what is in them, escaped, and always written alike."""

from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.text import clean
from cavewatch.reports import Facts, Page, Row, Section, Table, Text, html


class Reader(HTMLParser):
    """Collects tags and texts."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: object) -> None:  # noqa: ARG002
        self.tags.append(tag)
        self.texts.append("")

    def handle_data(self, data: str) -> None:
        if self.texts:
            self.texts[-1] += data


def page(text: str) -> Page:
    row = Row((text, text), struck=True)
    table = Table((text, "n"), (row,), text, frozenset({1}))
    return Page(text, Facts(((text, text),)), (Section(text, (Text(text), table)),))


@given(st.text(min_size=1))
def test_whatever_is_in_a_text_the_page_has_the_same_elements(text: str) -> None:
    assert Reader(html(page(text))).tags == Reader(html(page("plain"))).tags


@given(st.text(st.characters(exclude_categories=("Cs",)), min_size=1))
def test_a_text_is_read_as_it_was_given_but_for_control_characters(text: str) -> None:
    shown = clean(text, 5000).strip()
    texts = [each.strip() for each in Reader(html(page(text))).texts]
    assert texts.count(shown) >= 7


@given(st.text())
def test_the_same_page_is_the_same_text(text: str) -> None:
    assert html(page(text)) == html(page(text))


def test_struck_cells_are_struck_but_for_the_last_which_says_why() -> None:
    row = Row(("14 kg", "a slip"), struck=True)
    said = html(Page("t", Facts(()), (Section("s", (Table(("a", "b"), (row,)),)),)))
    assert "<del>14 kg</del>" in said
    assert "<del>a slip</del>" not in said


def test_a_section_without_parts_says_that_there_is_nothing() -> None:
    assert "none on record" in html(Page("t", Facts(()), (Section("Alarms", ()),)))


def test_it_begins_as_a_page_of_today_with_its_policy() -> None:
    said = html(Page("t", Facts(()), ()))
    assert said.startswith('<!DOCTYPE html>\n<html lang="en">')
    assert "content=\"default-src 'none'; style-src 'unsafe-inline'\"" in said
