"""Whatever a config file holds, reading it gives a config or a ConfigError."""

import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from cavewatch.config import ConfigError, parse
from cavewatch.config.checks import check
from cavewatch.config.faults import Faults
from cavewatch.config.lines import find
from cavewatch.config.schema import schema

EXAMPLE = (Path(__file__).parents[2] / "config.example.toml").read_text(encoding="utf-8")
BARE = "\n".join(line for line in EXAMPLE.splitlines() if line and not line.startswith("#"))
PATH = Path("c.toml")


def said(text: str) -> tuple[str, ...]:
    try:
        parse(text, PATH)
    except ConfigError as fault:
        return fault.faults
    return ()


@given(st.text())
def test_random_text_is_refused_in_printable_sentences(text: str) -> None:
    assert all(sentence.isprintable() for sentence in said(text))


@given(st.data())
def test_a_damaged_example_is_read_or_refused_in_printable_sentences(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(BARE)))
    end = start + data.draw(st.integers(0, 30))
    fill = data.draw(st.text(max_size=5) | st.sampled_from(["\n", "[x]\n", '"', "1", "[[", "nan"]))
    assert all(sentence.isprintable() for sentence in said(BARE[:start] + fill + BARE[end:]))


junk = st.recursive(
    st.none().map(lambda _: tomllib.loads("d = 2026-03-01")["d"])
    | st.booleans()
    | st.integers(-(10**20), 10**400)
    | st.floats()
    | st.text(max_size=6)
    | st.sampled_from(["20 %", "cave", "cave.temperature", "UTC", "30 s", "gouda"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["name", "kind", "brine", "fields", "T", "channel", "unit", "every"]),
            inner,
        )
    ),
    max_leaves=8,
)


@given(data=st.data(), value=junk)
def test_a_value_of_any_type_anywhere_is_read_or_refused(data: st.DataObject, value: Any) -> None:
    raw = tomllib.loads(BARE)
    place: Any = raw
    while isinstance(place, dict | list) and place:
        key = data.draw(st.sampled_from(sorted(place) if isinstance(place, dict) else [0]))
        if data.draw(st.booleans()) or not isinstance(place[key], dict | list):
            place[key] = value
            break
        place = place[key]
    faults = Faults("c.toml", find(""))
    check(schema(Path()).read_keys(raw, (), faults), [], faults)
    try:
        faults.settle()
    except ConfigError as fault:
        sentences = fault.faults
    else:
        sentences = ()
    assert all(sentence.isprintable() for sentence in sentences)
