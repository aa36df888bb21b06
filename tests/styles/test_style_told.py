"""A style told as text of a config is the same style when it is read again."""

import tomllib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.style import Style, StyleBook
from cavewatch.styles import load
from cavewatch.styles.told import toml

BOOK = load()


def again(style: Style) -> StyleBook:
    return load(tomllib.loads(toml(style))["style"])


@pytest.mark.parametrize("name", BOOK)
def test_every_style_of_the_book_comes_back_as_it_was(name: str) -> None:
    assert again(BOOK[name])[name] == BOOK[name]
    own = replace(BOOK[name], id="own-one")
    assert again(own)["own-one"] == own


edges = st.floats(0, 40).map(lambda edge: round(edge, 3))
printable = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1)
figures = st.lists(st.floats(6, 12), min_size=3, max_size=3).map(sorted)
limits = st.lists(edges, min_size=2, max_size=2, unique=True).map(sorted)
whole_limits = st.builds(
    lambda four, above, source: {
        "low_low": four[0], "low": four[1], "high": four[2], "high_high": four[3],
        "when": {"humidity_above": above, "low": four[1]}, "source": source,
    },
    st.lists(edges, min_size=4, max_size=4).map(sorted), edges, printable,
)  # fmt: skip
stage = st.fixed_dictionaries(
    {"days": st.floats(0, 500), "temperature": limits | whole_limits, "care": printable},
    optional={
        "humidity": limits,
        "turn": st.floats(0.1, 400),
        "wash": st.builds(lambda n, s: {"every": n, "source": s}, st.floats(0.1, 9), printable),
    },
)
age = st.fixed_dictionaries(
    {"days": st.floats(1, 900), "source": printable},
    optional={"warm": edges, "storage": edges, "start": st.sampled_from(["renneting", "make"])},
)


@given(
    st.fixed_dictionaries(
        {"like": st.sampled_from(sorted(BOOK))},
        optional={
            "name": printable,
            "moisture": figures,
            "salt": st.floats(0, 12),
            "loss": figures,
            "ready_days": figures,
            "notes": st.lists(printable, min_size=1, max_size=3),
            "usual": st.just({"time": 14.5, "weight": 2300, "strength": 20, "temperature": 12}),
            "stages_start": st.sampled_from(["make", "cave entry"]),
            "ages": st.dictionaries(printable, age, max_size=2),
        },
    ),
    st.none() | st.dictionaries(printable, stage, min_size=1, max_size=3),
)
def test_what_a_maker_made_of_a_style_comes_back_as_it_was(
    own: dict[str, Any], stages: dict[str, Any] | None
) -> None:
    base = BOOK[own["like"]]
    if stages is not None and base.stages == ():
        own["stages"] = {**stages, "the last": {"care": "wait"}}
    elif stages is not None:
        # More of a stage that the book has.
        first = dict(next(iter(stages.values())))
        if len(base.stages) == 1:
            first.pop("days")
        own["stages"] = {base.stages[0].name: first}
    made = load({"own": own})["own"]
    assert again(made)["own"] == made
