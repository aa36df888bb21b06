"""The journal's table."""

import json
import math
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core import journal
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Ended, Ending, JournalError, Made, Noted, Turned, Voided
from cavewatch.core.shape import Cuboid, Cylinder, Sphere
from cavewatch.core.style import Method
from cavewatch.core.text import clean
from cavewatch.store import Store

texts = st.text(max_size=60).map(lambda text: clean(text, 60))
numbers = st.lists(st.integers(1, 10**6), max_size=4).map(tuple)
amounts = st.floats(-1e11, 1e11)
sizes = st.floats(0.1, 500)
shapes = (
    st.builds(Cylinder, sizes, sizes)
    | st.builds(Cuboid, sizes, sizes, sizes)
    | st.builds(Sphere, sizes)
)
acts: st.SearchStrategy[Act] = st.one_of(
    st.builds(
        Made,
        wheels=numbers,
        style=texts,
        method=st.sampled_from(Method),
        weight=amounts,
        place=texts,
        shape=st.none() | shapes,
        salting_done=st.booleans(),
        made_at=st.none() | amounts,
        floats=st.booleans(),
        lot=texts,
    ),
    st.builds(Turned, numbers),
    st.builds(journal.Salted, numbers, amounts),
    st.builds(journal.Lifted, numbers, st.none() | texts),
    st.builds(journal.Moved, numbers, texts),
    st.builds(Ended, numbers, st.sampled_from(Ending), texts),
    st.builds(journal.BrineMeasured, texts, amounts),
    st.builds(Noted, texts, numbers),
    st.builds(journal.Acknowledged, texts),
    st.builds(Voided, st.integers(1, 10**6), texts),
)
instants = st.floats(0, 1e11)


def made(*wheels: int) -> Made:
    return Made(wheels, "gouda", Method.BRINE, 4000.0, "tub")


def raw(path: Path, sql: str, *values: object) -> None:
    """What another program could do to the file."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(sql, values)


@settings(deadline=None)
@given(st.lists(st.tuples(instants, instants, texts, acts), max_size=6))
def test_entries_come_back_as_they_were_appended(
    said: list[tuple[float, float, str, Act]],
) -> None:
    with closing(Store.in_memory()) as store:
        appended = [store.append(*entry) for entry in said]

        assert store.entries() == appended
        assert [(e.at, e.written, e.act) for e in appended] == [
            (a, w, act) for a, w, _, act in said
        ]
        assert [e.id for e in appended] == list(range(1, len(said) + 1))


def test_only_entries_after_a_number_are_given(store: Store) -> None:
    for wheel in (1, 2, 3):
        store.append(10.0, 20.0, "MK", Turned((wheel,)))

    assert [entry.id for entry in store.entries(after=1)] == [2, 3]
    assert store.entries(after=3) == []


def test_no_control_character_reaches_the_file_or_comes_back(store: Store, path: Path) -> None:
    entry = store.append(1.0, 2.0, "M\x1b[2JK", Noted("washed\x1b]0;x\x07 it\u202e\nwell \ud800"))

    assert entry.by == "M[2JK"
    assert entry.act == Noted("washed]0;x it well ")
    assert store.entries() == [entry]
    with closing(sqlite3.connect(path)) as connection:
        [(by, plain)] = connection.execute('SELECT "by", plain FROM journal').fetchall()
    assert (by + plain).isprintable()
    assert "\\u" not in plain


def test_control_characters_that_another_program_wrote_do_not_come_back(
    store: Store, path: Path
) -> None:
    plain = json.dumps({"kind": "note", "text": "\x1b[31mred \ud800"})
    raw(
        path,
        "INSERT INTO journal (id, at, written, \"by\", kind, plain) VALUES (1, 1, 1, ?, 'note', ?)",
        "M\x1bK",
        plain,
    )

    [entry] = store.entries()
    assert (entry.by, entry.act) == ("MK", Noted("[31mred "))


@pytest.mark.parametrize(
    "plain",
    [
        "not JSON",
        '{"kind": "sung"}',
        '{"kind": ["made"]}',
        '{"kind": "turned", "wheels": "all"}',
        '{"kind": "turned", "wheels": [1], "\\u001b[31m": 1}',
        "[" * 100_000,
        "7" * 10_000,
    ],
)
def test_an_entry_that_cannot_be_read_leaves_a_note_in_its_place_and_costs_no_other(
    store: Store, path: Path, plain: str
) -> None:
    first = store.append(1.0, 1.0, "MK", Turned((1,)))
    raw(
        path,
        'INSERT INTO journal (id, at, written, "by", kind, plain)'
        " VALUES (2, 1, 1, 'MK', 'turned', ?)",
        plain,
    )
    last = store.append(3.0, 3.0, "MK", Turned((2,)))

    before, broken, after = store.entries()
    assert (before, after) == (first, last)
    assert broken.id == 2
    assert isinstance(broken.act, Noted)
    assert "dairy.sqlite: row 2 of 'journal' cannot be read" in broken.act.text
    assert broken.act.text.isprintable()


def test_text_that_is_not_utf8_costs_no_other_entry(store: Store, path: Path) -> None:
    raw(
        path,
        'INSERT INTO journal (id, at, written, "by", kind, plain)'
        " VALUES (1, 1, 1, CAST(x'4dff' AS TEXT), 'note', '{}')",
    )
    last = store.append(3.0, 3.0, "MK", Turned((2,)))

    assert [entry.id for entry in store.entries()] == [1, last.id]


@pytest.mark.parametrize("act", [made(1), Noted("x")], ids=["made", "note"])
@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE journal SET plain = '{}'",
        "UPDATE journal SET \"by\" = 'XX' WHERE id = 1",
        "DELETE FROM journal",
        'INSERT OR REPLACE INTO journal (id, at, written, "by", kind, plain)'
        " VALUES (1, 1, 1, 'XX', 'note', '{}')",
        'INSERT INTO journal (id, at, written, "by", kind, plain)'
        " VALUES (1, 1, 1, 'XX', 'note', '{}')"
        " ON CONFLICT DO UPDATE SET plain = excluded.plain",
    ],
)
def test_no_program_can_change_or_delete_an_entry(
    store: Store, path: Path, act: Act, sql: str
) -> None:
    entry = store.append(1.0, 2.0, "MK", act)

    with pytest.raises(sqlite3.IntegrityError, match="journal is append-only"):
        raw(path, sql)

    assert store.entries() == [entry]


@pytest.mark.parametrize(
    ("at", "act"),
    [
        (math.nan, Noted("x")),
        (-5.0, Noted("x")),
        (1.0, journal.Salted((1,), math.inf)),
        (1.0, journal.Salted((1,), math.nan)),
    ],
)
def test_an_act_that_could_not_be_read_back_is_refused(store: Store, at: float, act: Act) -> None:
    with pytest.raises(CavewatchError):
        store.append(at, 1.0, "MK", act)

    assert store.entries() == []


def test_the_refusal_names_the_field(store: Store) -> None:
    with pytest.raises(JournalError, match="salted: 'grams' is nan"):
        store.append(1.0, 1.0, "MK", journal.Salted((1,), math.nan))


def test_a_new_wheel_is_numbered_above_every_wheel_that_was_ever_made(store: Store) -> None:
    assert store.next_wheel() == 1
    store.append(1.0, 1.0, "MK", made(1, 2, 3))
    mistake = store.append(2.0, 2.0, "MK", made(7))
    store.append(3.0, 3.0, "MK", Turned((99,)))
    store.append(4.0, 4.0, "MK", Voided(mistake.id))
    store.append(5.0, 5.0, "MK", made(4))

    assert store.next_wheel() == 8
