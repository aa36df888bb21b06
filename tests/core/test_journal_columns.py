"""Acts as rows of a table and back, and cells that no spreadsheet takes for a formula."""

import dataclasses
import string
import typing
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import (
    KINDS,
    Act,
    Assayed,
    BrineWork,
    JournalError,
    Made,
    Noted,
    Tended,
    Turned,
    Voided,
)
from cavewatch.core.journal.columns import COLUMNS, from_cells, to_cells
from cavewatch.core.journal.plain import kind_of
from cavewatch.core.record.cells import guarded, number, unguarded
from cavewatch.core.shape import Cuboid, Cylinder, Sphere
from cavewatch.core.style import Method

sizes = st.floats(0.1, 200)
shapes = st.one_of(
    st.builds(Cylinder, sizes, sizes),
    st.builds(Cuboid, sizes, sizes, sizes),
    st.builds(Sphere, sizes),
)
times = st.integers(0, 4_000_000_000).map(float)
numbers = st.lists(st.integers(1, 9999), min_size=1, max_size=9).map(tuple)
texts = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=30)
names = st.text(string.ascii_letters + "=-+@';é ", min_size=1, max_size=20)


def _field(cls: type, field: "dataclasses.Field[typing.Any]") -> st.SearchStrategy[typing.Any]:
    """What a field of an act may hold."""
    hint = str(typing.get_type_hints(cls)[field.name])
    if hint == "<class 'int'>":
        return st.integers(1, 10**6)
    if "Cylinder" in hint:
        return st.none() | shapes
    if "tuple" in hint:
        return numbers
    if field.name in ("made_at", "renneted_at", "moulded_at", "until"):
        return st.none() | times if "None" in hint else times
    if "float" in hint:
        found = st.floats(-1e9, 1e9)
        return st.none() | found if "None" in hint else found
    if "str" in hint and "enum" not in hint.lower() and "<class" in hint:
        return texts if field.name in ("text", "why", "product") else names
    return st.from_type(typing.get_type_hints(cls)[field.name])


acts = st.one_of(
    *(
        st.builds(cls, **{field.name: _field(cls, field) for field in dataclasses.fields(cls)})
        for cls in KINDS.values()
    )
)


def iso(at: float) -> str:
    return datetime.fromtimestamp(at, UTC).isoformat()


def instant(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()


def as_text(act: Act) -> dict[str, str]:
    """A row as a reader of the file meets it."""
    texts = {
        name: str(value).lower()
        if isinstance(value, bool)
        else value
        if isinstance(value, str)
        else number(value)
        for name, value in to_cells(act, iso).items()
    }
    return {"kind": kind_of(act), **texts}


@given(acts)
def test_every_act_comes_back_from_its_cells(act: Act) -> None:
    assert from_cells(as_text(act), instant) == act


@given(acts)
def test_every_cell_is_in_a_known_column(act: Act) -> None:
    assert set(to_cells(act, iso)) <= set(COLUMNS)


def test_the_name_of_a_column_tells_its_unit() -> None:
    assert to_cells(Assayed((14,), 1.75, 0.1), iso) == {
        "wheels": "14",
        "salt_percent": 1.75,
        "error_percent": 0.1,
    }
    restored = Tended("tub", BrineWork.RESTORED, salt=2500.0)
    assert to_cells(restored, iso)["salt_g"] == 2500.0
    assert to_cells(Voided(3, "twice"), iso) == {"voids": 3, "why": "twice"}


def test_what_is_not_filled_in_is_as_where_nothing_is_said() -> None:
    assert from_cells({"kind": "turned", "wheels": "14 15", "place": ""}, instant) == Turned(
        (14, 15)
    )
    assert from_cells({"kind": "note", "text": " two blanks "}, instant) == Noted(" two blanks ")


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"kind": "sung"}, "'kind' is 'sung'; it must be one of made, "),
        ({"kind": "turned"}, "turned: 'wheels' is empty; it must be filled in"),
        ({"kind": "turned", "wheels": "14-19"}, "'wheels' is '14-19'; it must be whole numbers"),
        ({"kind": "turned", "wheels": "1", "ph": "5.2"}, "'ph' is '5.2'; it must be empty there"),
        ({"kind": "weighed", "wheels": "1", "grams_g": "2,3"}, "'grams_g' is '2,3'; it must be a"),
        ({"kind": "weighed", "wheels": "1", "grams_g": "nan"}, "'grams' is nan; it must be a"),
        ({"kind": "washed", "wheels": "1", "how": "lick"}, "'how' is 'lick'; it must be one of"),
    ],
)
def test_a_row_at_fault_names_column_and_value(cells: dict[str, str], said: str) -> None:
    with pytest.raises(JournalError, match=said):
        from_cells(cells, instant)


@given(st.text())
def test_a_guarded_text_comes_back(text: str) -> None:
    assert unguarded(guarded(text)) == text


@given(st.text("=+-@\t\r;\"' aé"))
def test_no_cell_begins_with_what_a_spreadsheet_calculates(text: str) -> None:
    for part in guarded(text).replace('"', "").split(";"):
        assert not part.strip().startswith(("=", "+", "-", "@"))


def test_what_no_spreadsheet_calculates_stays_as_it_is() -> None:
    for text in ("lower cave", "2-3 days", "a = b", "it's", "milk, -20 degC"):
        assert guarded(text) == text
    assert guarded("=1+1") == "'=1+1"


def test_made_with_a_shape_has_its_sizes_in_columns() -> None:
    made = Made((1,), "meadow", Method.BRINE, 2500.0, "tub", shape=Cylinder(18.0, 8.0))
    cells = to_cells(made, iso)
    assert (cells["form"], cells["diameter_cm"], cells["height_cm"]) == ("wheel", 18.0, 8.0)
