"""What a config may say over the style book, and how its mistakes are told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.countdown import Action
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Quantity
from cavewatch.core.shape import Form
from cavewatch.core.style import Care, Figure, Limits, Method, MinimumAge, Start, Usual, When
from cavewatch.styles import StyleError, load

FARM = {
    "moisture": 44,
    "salt": [1.4, 1.6, 2.0],
    "methods": ["dry"],
    "proportions": {"form": "wheel", "flatness": 0.3},
    "weight": 1800,
}


def faults_of(overrides, origin="config"):
    with pytest.raises(StyleError) as caught:
        load(overrides, origin)
    return dict(caught.value.faults)


def test_without_overrides_the_caller_may_change_the_book_it_got():
    load().clear()
    assert "gouda" in load()


def test_a_bare_number_keeps_the_range_of_the_book():
    salt = load({"gouda": {"salt": 1.8}})["gouda"].salt
    book = load()["gouda"].salt
    assert salt == Figure(1.8, book.low, book.high, "set in the config")


def test_a_bare_number_outside_the_range_stretches_it():
    book = load()["gouda"].salt
    assert load({"gouda": {"salt": 1.0}})["gouda"].salt.low == 1.0
    assert load({"gouda": {"salt": 1.0}})["gouda"].salt.high == book.high
    assert load({"gouda": {"salt": 5.0}})["gouda"].salt.high == 5.0


def test_three_numbers_are_low_value_high():
    rate = load({"gouda": {"rate": [0.6, 0.7, 0.8]}}, "cave.toml")["gouda"].rate
    assert rate == Figure(0.7, 0.6, 0.8, "set in the cave.toml")


def test_a_table_changes_only_the_keys_it_has_and_drops_the_old_source():
    book = load()["gouda"].weight
    weight = load({"gouda": {"weight": {"value": 5000}}})["gouda"].weight
    assert weight == Figure(5000, book.low, book.high, "set in the config")


def test_a_source_may_be_given():
    stated = {"value": 1.9, "source": "our own assays"}
    assert load({"gouda": {"salt": stated}})["gouda"].salt.source == "our own assays"


def test_two_numbers_are_limits_and_may_be_set_in_depth():
    overrides = {
        "gouda": {"brine": {"temperature": [10, 22]}, "stages": {"cave": {"humidity": [82, 88]}}}
    }
    gouda, book = load(overrides)["gouda"], load()["gouda"]
    assert gouda.brine is not None
    assert book.brine is not None
    assert gouda.brine.temperature == Limits(10, 22, "set in the config")
    assert gouda.brine.strength == book.brine.strength
    assert gouda.stages[-1].humidity == Limits(82, 88, "set in the config")
    assert gouda.stages[-1].temperature == book.stages[-1].temperature
    assert gouda.stages[:-1] == book.stages[:-1]


def test_second_edges_may_be_set_and_must_lie_outside_of_the_first():
    def cave(high_high):
        humidity = {"low_low": 70, "high_high": high_high}
        return load({"gouda": {"stages": {"cave": {"humidity": humidity}}}})["gouda"].stages[-1]

    humidity = load()["gouda"].stages[-1].humidity
    found = cave(99).humidity
    assert (found.low_low, found.low, found.high, found.high_high) == (
        *(70, humidity.low, humidity.high, 99),
    )
    with pytest.raises(StyleError, match="write them rising"):
        cave(humidity.low)


def test_one_edge_may_be_moved_alone():
    changed = load({"gouda": {"stages": {"cave": {"humidity": {"high": 86}}}}})["gouda"]
    assert changed.stages[-1].humidity == Limits(80, 86, "set in the config")


def test_an_override_leaves_the_other_styles_and_the_book_alone():
    book = load()
    changed = load({"gouda": {"salt": 1.8, "stages": {"cave": {"humidity": [82, 88]}}}})
    assert {k: v for k, v in changed.items() if k != "gouda"} == {
        k: v for k, v in book.items() if k != "gouda"
    }
    assert load() == book


def test_a_new_style_may_start_from_one_of_the_book():
    made = load({"farmhouse": {"like": "gouda", "weight": 1000}})["farmhouse"]
    gouda = load()["gouda"]
    assert (made.id, made.name, made.family) == ("farmhouse", "farmhouse", gouda.family)
    assert made.weight.value == 1000
    assert (made.stages, made.diffusivity) == (gouda.stages, gouda.diffusivity)


def test_a_new_style_may_start_from_a_changed_or_new_one_above_it():
    overrides = {
        "gouda": {"salt": 1.7},
        "farmhouse": {"like": "gouda"},
        "small": {"like": "farmhouse", "name": "Small one", "weight": 600},
    }
    styles = load(overrides)
    assert styles["small"].salt.value == 1.7
    assert styles["small"].name == "Small one"


def test_a_new_style_needs_five_keys_and_gets_the_rest():
    farm = load({"farm": FARM})["farm"]
    assert farm.moisture == Figure(44, 44, 44, "set in the config")
    assert farm.proportions.form is Form.WHEEL
    assert farm.methods == (Method.DRY,)
    assert farm.dry is not None
    assert (farm.brine, farm.milled, farm.stages, farm.ready_days) == (None, None, (), None)
    assert farm.diffusivity.low < farm.diffusivity.value < farm.diffusivity.high


def test_a_method_that_is_added_brings_its_plan():
    assert load()["gouda"].dry is None
    assert load({"gouda": {"methods": ["brine", "dry"]}})["gouda"].dry is not None


def test_a_usual_time_may_be_stated():
    assert all(style.usual is None for style in load().values())
    stated = {"time": 30, "weight": 4000, "strength": 20, "temperature": 13}
    assert load({"gouda": {"usual": stated}})["gouda"].usual == Usual(30, 4000, 20, 13)


def test_a_stage_may_be_added_after_the_last():
    stages = {"cave": {"days": 60}, "cold store": {"temperature": [2, 6]}}
    made = load({"gouda": {"stages": stages}})["gouda"].stages
    assert [stage.name for stage in made[-2:]] == ["cave", "cold store"]
    assert (made[-2].days, made[-1].days) == (60, None)


def test_all_mistakes_are_reported_together_with_their_keys():
    faults = faults_of(
        {
            "gouda": {"moistur": 42, "salt": "much", "stages": {"cave": {"humidity": [95, 80]}}},
            "edam": {"methods": ["brin"], "dry": {"hours": [1, 2]}},
            "guoda": {"salt": 2},
            "mine": {"like": "goda"},
            "Our Own": {"like": "gouda"},
            "brie": 3,
        }
    )
    assert set(faults) == {
        ("gouda", "moistur"),
        ("gouda", "salt"),
        ("gouda", "stages", "cave", "humidity"),
        ("edam", "methods"),
        ("edam", "dry", "hours"),
        ("guoda",),
        ("mine", "like"),
        ("Our Own",),
        ("brie",),
    }
    for path, near in {
        ("gouda", "moistur"): "'moisture'",
        ("edam", "methods"): "'brine'",
        ("guoda",): "'gouda'",
        ("mine", "like"): "'gouda'",
    }.items():
        assert f"did you mean {near}?" in faults[path]


def test_a_sentence_names_the_key_the_value_and_what_to_write():
    assert faults_of({"gouda": {"moisture": {"value": "wet"}}}) == {
        ("gouda", "moisture", "value"): (
            "moisture.value of style 'gouda' is 'wet'; write a number from 5 to 90 [% w/w]"
        )
    }


def test_the_text_of_the_error_names_the_origin_on_each_line():
    with pytest.raises(CavewatchError) as caught:
        load({"gouda": {"salt": "much"}, "edam": {"salt": "more"}}, "cave.toml")
    lines = str(caught.value).splitlines()
    assert len(lines) == 2
    assert all(line.startswith("cave.toml: salt of style") for line in lines)


def test_mistakes_of_a_style_are_not_told_again_for_one_that_is_like_it():
    assert set(faults_of({"farm": {**FARM, "salt": "much"}, "farm-2": {"like": "farm"}})) == {
        ("farm", "salt")
    }


def test_like_cannot_point_at_itself_or_below():
    assert set(faults_of({"one": {"like": "two"}, "two": {"like": "two"}})) == {
        ("one", "like"),
        ("two", "like"),
    }


def test_a_table_that_is_none_is_one_fault():
    assert set(faults_of({"gouda": {"brine": 20}})) == {("gouda", "brine")}


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("salt", float("nan")),
        ("salt", True),
        ("salt", [1, 2]),
        ("salt", [3, 2, 1]),
        ("salt", -1),
        ("weight", 0),
        ("notes", "one"),
        ("methods", []),
        ("name", "two\nlines"),
        ("name", " "),
        ("proportions", {"form": "whel"}),
        ("proportions", {"flatness": 0}),
        ("brine", {"strength": 30}),
        ("brine", {"temperature": []}),
        ("dry", {"hours": [0, 12, 12]}),
        ("dry", {"retention": 1.2}),
        ("usual", 30),
        ("usual", {"time": 30}),
        ("usual", {"time": 0, "weight": 4000, "strength": 20, "temperature": 13}),
        ("usual", {"time": 30, "weight": 4000, "strength": 30, "temperature": 13}),
        ("stages", {"drying": {"days": "two"}}),
        ("stages", {"cave": {"days": 30}}),
        ("stages", {"attic": {"temperature": [10, 12]}}),
    ],
)
def test_what_makes_no_sense_is_refused(key, value):
    assert all(path[:2] == ("gouda", key) for path in faults_of({"gouda": {key: value}}))


def test_no_escape_code_reaches_the_text():
    stages = {"\x1b[2J": {"care": "a\x1b[2Jb", "\x1b[1m": 1}}
    bad = {"gouda": {"\x1b]0;x": 1, "name": "\x1b[2J", "stages": stages}, "\x1b": {}}
    assert all(sentence.isprintable() for sentence in faults_of(bad).values())


KEYS = (
    "gouda edam like moisture salt methods proportions weight brine dry stages cave value low high "
    "source strength temperature humidity hours days form wheel usual time"
)
WORDS = st.sampled_from(KEYS.split()) | st.text(max_size=4)
VALUES = st.recursive(
    st.booleans() | st.integers() | st.floats() | WORDS | st.datetimes(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=12,
)


def outcome(overrides):
    """The styles and no faults, or no styles and the faults."""
    try:
        return load(overrides), ()
    except StyleError as error:
        return {}, error.faults


@given(st.dictionaries(WORDS, VALUES, max_size=4))
def test_whatever_toml_holds_gives_styles_or_printable_sentences(overrides):
    styles, faults = outcome(overrides)
    assert bool(styles) != bool(faults)
    assert all(path[0] in overrides for path, _ in faults)
    assert all(sentence.isprintable() for _, sentence in faults)
    assert set(styles) == ({*load(), *overrides} if styles else set())


def test_a_maker_says_care_ages_starts_and_limits_that_depend():
    cave = {
        "humidity": {"low": 85, "high": 95, "when": {"temperature_above": 14, "low": 92}},
        "turn": 2,
        "oil": {"every": 30, "source": "ours"},
    }
    own = {
        "stages_start": "cave entry",
        "stages": {"cave": cave},
        "ages": {"our buyer": {"days": 90, "start": "cave entry", "warm": 4, "storage": 48}},
    }
    style = load({"farm": {**FARM, **own}})["farm"]
    said = "set in the config"
    (stage,) = style.stages
    assert stage.humidity == Limits(85, 95, said, When(Quantity.TEMPERATURE, 14, 92))
    assert stage.works == (Care(Action.TURN, 2, said), Care(Action.OIL, 30, "ours"))
    assert style.stages_start is Start.CAVE_ENTRY
    assert style.ages == (MinimumAge("our buyer", 90, Start.CAVE_ENTRY, said, 4, 48),)


def test_what_a_maker_says_of_humidity_holds_in_a_warm_cave_too():
    over = {"alpine": {"stages": {"cold cave": {"humidity": {"low": 80}}}}}
    humidity = load(over)["alpine"].stages[-1].humidity
    assert humidity == Limits(80, 98, "set in the config")


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ({"stages_start": "birth"}, "'make' or 'renneting' or 'moulding' or 'brine out'"),
        ({"ages": {"ours": {"days": 0}}}, "ages.ours.days of style 'gouda' is 0; write a number"),
        ({"stages": {"cave": {"turn": "daily"}}}, "stages.cave.turn of style 'gouda'"),
        ({"stages": {"cave": {"salt": 2}}}, "stages.cave.salt of style 'gouda' is not a key"),
        (
            {"stages": {"cave": {"humidity": {"when": {"low": 92}}}}},
            "needs one of temperature_above and humidity_above",
        ),
        (
            {"stages": {"cave": {"humidity": {"when": {"temperature_above": 14}}}}},
            "has neither low nor high; write at least one of them",
        ),
    ],
)
def test_a_slip_in_stages_and_ages_is_told_in_one_sentence(own, said):
    (sentence,) = faults_of({"gouda": own}).values()
    assert said in sentence
