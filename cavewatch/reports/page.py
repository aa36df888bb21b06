"""A report's page: sections of texts, facts, tables and charts, written as HTML.

The tree is built of elements whose texts the standard library escapes when it
writes them, so that nothing from outside becomes markup.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from cavewatch.core.text import clean
from cavewatch.reports.chart import Chart, drawn
from cavewatch.reports.look import POLICY, STYLE

SHORT = 16
"""Texts of so few characters are not broken."""
LIMIT = 5000
"""Longest text of a cell or paragraph [characters]; a journal entry's are shorter."""


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    text: str
    caution: bool = False
    """True for one that nobody may miss."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Short facts, each under its name."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table."""

    cells: tuple[str, ...]
    struck: bool = False
    """True for what does not count any more: shown struck out, but for its last cell."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    caption: str = ""
    numbers: frozenset[int] = frozenset()
    """Columns that hold numbers, counted from 0; they stand to the right."""


Part = Text | Facts | Table | Chart


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what belongs to it."""

    title: str
    parts: tuple[Part, ...]
    """None: 'none on record' is said."""


@dataclass(frozen=True, slots=True)
class Page:
    """A whole report."""

    title: str
    head: Facts
    """What it is about, and by whom it was drawn up."""
    sections: tuple[Section, ...]


def html(page: Page) -> str:
    """The page as one HTML file; the same page always gives the same text."""
    root = ET.Element("html", lang="en")
    head = ET.SubElement(root, "head")
    ET.SubElement(head, "meta", charset="utf-8")
    ET.SubElement(head, "meta", {"http-equiv": "Content-Security-Policy", "content": POLICY})
    ET.SubElement(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    _add(head, "title", page.title)
    ET.SubElement(head, "style").text = STYLE
    body = ET.SubElement(root, "body")
    _add(body, "h1", page.title)
    _facts(body, page.head)
    for section in page.sections:
        _add(body, "h2", section.title)
        for part in section.parts or (Text("none on record"),):
            _part(body, part)
    ET.indent(root, "")
    return "<!DOCTYPE html>\n" + ET.tostring(root, encoding="unicode", method="html") + "\n"


def _part(body: ET.Element, part: Part) -> None:
    match part:
        case Text():
            _add(body, "p", part.text, **{"class": "caution"} if part.caution else {})
        case Facts():
            _facts(body, part)
        case Table():
            _table(body, part)
        case Chart():
            figure = ET.SubElement(body, "figure")
            _add(figure, "figcaption", f"{part.title} [{part.unit}]")
            figure.append(drawn(part))


def _facts(body: ET.Element, facts: Facts) -> None:
    listed = ET.SubElement(body, "dl")
    for name, text in facts.pairs:
        _add(listed, "dt", name)
        _add(listed, "dd", text)


def _table(body: ET.Element, table: Table) -> None:
    element = ET.SubElement(body, "table")
    if table.caption:
        _add(element, "caption", table.caption)
    _cells(ET.SubElement(ET.SubElement(element, "thead"), "tr"), "th", table.columns, table)
    rows = ET.SubElement(element, "tbody")
    for row in table.rows:
        cells = _cells(ET.SubElement(rows, "tr"), "td", row.cells, table)
        if row.struck:
            for cell in cells[:-1]:
                ET.SubElement(cell, "del").text, cell.text = cell.text, None


def _cells(row: ET.Element, tag: str, texts: Iterable[str], table: Table) -> list[ET.Element]:
    """The cells of a row; short texts, such as times, are kept on one line."""
    cells = []
    for index, text in enumerate(texts):
        kind = "number" if index in table.numbers else "short" if len(text) <= SHORT else ""
        cells.append(_add(row, tag, text, **{"class": kind} if kind else {}))
    return cells


def _add(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    """An element with text, without what could steer a terminal or a reader's eye."""
    element = ET.SubElement(parent, tag, attributes)
    element.text = clean(text, LIMIT)
    return element
