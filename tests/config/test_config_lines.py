"""On which line each key of a TOML text stands."""

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.config.lines import KeyPath, find

TEXT = '''\
# comment with [brackets] and "quotes"
top = 1
[dairy]            # [not.this]
name = "a # b"     # = 3
a.b."c d" = true
when = 2026-03-01 16:30:00

[[place]]
name = """
several = 1
[lines]
quotes: \\""" and one more: ""
"""
range = [
    1,  # one
    # [two]
    "a, ]", [
      3 ]
]
[place.brine]
strength = 20
[[place]]
'name' = \'\'\'a
b\'\'\'
inline = { x = 1, "y z" = { w = [ 1,
  2 ] } }
[place.brine]
strength = 21
[[place.probe]]
port = ""
[[place.probe]]
port = \'\'
[ log . "fields" ]
"Dry-bulb (\\u0043)" = "x"
'''

EXPECTED: dict[KeyPath, int] = {
    ("top",): 2,
    ("dairy",): 3,
    ("dairy", "name"): 4,
    ("dairy", "a", "b", "c d"): 5,
    ("dairy", "when"): 6,
    ("place", 0): 8,
    ("place", 0, "name"): 9,
    ("place", 0, "range"): 14,
    ("place", 0, "range", 0): 15,
    ("place", 0, "range", 1): 17,
    ("place", 0, "range", 2): 17,
    ("place", 0, "range", 2, 0): 18,
    ("place", 0, "brine"): 20,
    ("place", 0, "brine", "strength"): 21,
    ("place", 1): 22,
    ("place", 1, "name"): 23,
    ("place", 1, "inline"): 25,
    ("place", 1, "inline", "x"): 25,
    ("place", 1, "inline", "y z", "w", 1): 26,
    ("place", 1, "brine"): 27,
    ("place", 1, "brine", "strength"): 28,
    ("place", 1, "probe", 0, "port"): 30,
    ("place", 1, "probe", 1): 31,
    ("place", 1, "probe", 1, "port"): 32,
    ("log", "fields"): 33,
    ("log", "fields", "Dry-bulb (C)"): 34,
}


def paths(value: Any, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Every path of a parsed text."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, item in value.items():
            yield from paths(item, (*path, key))
    elif isinstance(value, list):
        for position, item in enumerate(value):
            yield from paths(item, (*path, position))


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_kind_of_key_is_found_on_its_line(end: str) -> None:
    text = TEXT.replace("\n", end)
    lines = find(text)
    assert {path: lines.of.get(path) for path in EXPECTED} == EXPECTED
    assert set(lines.of) == set(paths(tomllib.loads(text)))
    assert lines.doubled is None


def test_a_key_that_is_not_there_has_the_line_of_the_table_around_it() -> None:
    lines = find(TEXT)
    assert lines.near(("place", 1, "brine", "volume")) == 27
    assert lines.near(("store",)) is None


@pytest.mark.parametrize(
    ("text", "doubled"),
    [
        ("a = 1\nb = 2\na = 3", (("a",), 1, 3)),
        ("[t]\nx = 1\n[u]\n[t]\ny = 2", (("t",), 1, 4)),
        ("[[t]]\nx = 1\n[[t]]\nx = 2\nx = 3", (("t", 1, "x"), 4, 5)),
        ("t = { x = 1,\n x = 2 }", (("t", "x"), 1, 2)),
        ("[[t]]\n[t.u]\n[[t]]\n[t.u]\n[t.u]", (("t", 1, "u"), 4, 5)),
    ],
)
def test_what_is_given_twice_is_found_with_both_lines(
    text: str, doubled: tuple[KeyPath, int, int]
) -> None:
    assert find(text).doubled == doubled


# A naive writer: it writes keys line by line and notes by itself where it put them.

ESCAPES = str.maketrans({'"': '\\"', "\\": "\\\\"})
words = st.text("abcXYZ019_-", min_size=1, max_size=4)
odd_words = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=4)
keys = words | odd_words.map(lambda word: f'"{word.translate(ESCAPES)}"')
values = st.sampled_from(
    [
        "1",
        "-2.5e3",
        "true",
        "1979-05-27T07:32:00Z",
        '"a"',
        "'#]'",
        '"]\\"["',
        '""',
        "''",
        '"""\n[x]\n"""',
        "'''\n\n# k = 1'''",
        '"""""x"""""',
        '"""a\\\n   b"""',
        "[]",
        "[ 1, [2,\n3], # ]\n]",
        "{}",
        '{ a = "}", b = [1, 2] }',
    ]
)
noise = st.sampled_from(["", "\n", "# [c]\n", "  \t\n", "\n# k = 'v'\n\n"])
tables = st.lists(
    st.tuples(keys, st.booleans(), st.lists(st.tuples(keys, values, noise), max_size=4), noise),
    max_size=5,
)


def plain(key: str) -> str:
    return str(tomllib.loads(f"{key} = 0").popitem()[0])


@given(tables)
def test_lines_agree_with_a_naive_writer(
    chosen: list[tuple[str, bool, list[tuple[str, str, str]], str]],
) -> None:
    text = ""
    expected: dict[KeyPath, int] = {}
    arrays: dict[str, int] = {}
    singles: set[str] = set()
    for key, many, pairs, gap in chosen:
        name = plain(key)
        if name in singles or (name in arrays and not many):
            continue
        path: KeyPath = (name,)
        text += gap
        if many:
            path = (name, arrays.setdefault(name, 0))
            arrays[name] += 1
        else:
            singles.add(name)
        expected[path] = text.count("\n") + 1
        text += f"[[{key}]]\n" if many else f"[{key}] # it\n"
        for inner, value, after in pairs:
            where = (*path, plain(inner))
            if where not in expected:
                expected[where] = text.count("\n") + 1
                text += f"{inner} = {value} # = 1\n{after}"
    parsed = tomllib.loads(text)
    lines = find(text)
    assert {path: lines.of.get(path) for path in expected} == expected
    assert set(lines.of) == set(paths(parsed))
    assert lines.doubled is None


@given(st.text() | st.text("[]{}=.,\"'#\\\n ab1", max_size=60))
def test_text_of_any_kind_is_followed_without_harm(text: str) -> None:
    last = text.count("\n") + 1
    assert all(1 <= line <= last for line in find(text).of.values())


def test_deep_nesting_is_given_up_without_harm() -> None:
    assert find("a = " + "[" * 100_000).of[("a",)] == 1
