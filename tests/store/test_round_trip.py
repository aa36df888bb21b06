"""Every kind of entry goes into the store and a journal file and comes back as it was."""

import dataclasses
import typing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cavewatch.core.journal import KINDS, Act, Entry
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere
from cavewatch.core.text import clean
from cavewatch.store import Store
from cavewatch.store.journal_file import dump, read

sizes = st.floats(0.1, 200)
texts = st.text(max_size=30).filter(lambda text: clean(text, len(text)) == text)
BY_TYPE: dict[Any, st.SearchStrategy[Any]] = {
    str: texts,
    float: st.floats(-1e11, 1e11),
    int: st.integers(0, 10**9),
    bool: st.booleans(),
    tuple[int, ...]: st.lists(st.integers(1, 9999), max_size=9).map(tuple),
    Shape: st.builds(Cylinder, sizes, sizes)
    | st.builds(Cuboid, sizes, sizes, sizes)
    | st.builds(Sphere, sizes),
}


def of_type(hint: Any) -> st.SearchStrategy[Any]:
    if hint in BY_TYPE:
        return BY_TYPE[hint]
    parts = typing.get_args(hint)
    if parts:
        some = [part for part in parts if part is not type(None)]
        inner = BY_TYPE[Shape] if Cylinder in some else of_type(some[0])
        return st.none() | inner
    return st.sampled_from(hint)


def of_kind(kind: type[Act]) -> st.SearchStrategy[Act]:
    hints = typing.get_type_hints(kind)
    return st.builds(
        kind, **{field.name: of_type(hints[field.name]) for field in dataclasses.fields(kind)}
    )


acts = st.one_of(*(of_kind(kind) for kind in KINDS.values()))
# To the microsecond: nobody's watch is better.
instants = st.integers(0, 4 * 10**15).map(lambda micros: micros / 1e6)
initials = texts.filter(bool)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("trip")


@given(st.lists(st.tuples(instants, instants, initials, acts), max_size=4))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_a_journal_file_gives_back_every_entry(
    folder: Path, parts: list[tuple[float, float, str, Act]]
) -> None:
    entries = [Entry(number, *part) for number, part in enumerate(parts, 1)]
    path = folder / "some.journal.jsonl"
    path.write_text(dump(entries), encoding="ascii")
    back = read(path)
    assert [(entry.id, entry.by, entry.act) for entry in back] == [
        (entry.id, entry.by, entry.act) for entry in entries
    ]
    for entry, was in zip(back, entries, strict=True):
        assert entry.at == pytest.approx(was.at, abs=1e-6)
        assert entry.written == pytest.approx(was.written, abs=1e-6)
    assert dump(back) == dump(entries)


@given(st.tuples(instants, instants, initials, acts))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_a_store_gives_back_every_entry(folder: Path, part: tuple[float, float, str, Act]) -> None:
    at, written, by, act = part
    store = Store.open(folder / "dairy.sqlite")
    try:
        kept = store.append(at, written, by, act)
        assert (kept.at, kept.written, kept.by, kept.act) == (at, written, by, act)
        assert store.entries(after=kept.id - 1) == [kept]
    finally:
        store.close()


@pytest.mark.parametrize(
    "text", ["1\N{NO-BREAK SPACE}kg", "\N{ZERO WIDTH JOINER}", "\N{SOFT HYPHEN}"]
)
def test_signs_that_do_no_harm_come_through_a_journal_file(folder: Path, text: str) -> None:
    entry = Entry(1, 1.0, 2.0, "MK", KINDS["note"](text))  # type: ignore[call-arg, arg-type]
    path = folder / "signs.jsonl"
    path.write_text(dump([entry]), encoding="ascii")
    assert read(path) == [entry]
