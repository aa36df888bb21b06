"""The style book that is shipped: whole, in order, and every figure with where it comes from."""

import re
from dataclasses import fields, is_dataclass

import pytest

from cavewatch.core.style import Care, Figure, Limits, Method, MinimumAge
from cavewatch.styles import load

BOOK = load()
EACH = pytest.mark.parametrize("style", BOOK.values(), ids=BOOK)

KINDS = re.compile(
    r"""
    USDA\ SR26\ food-composition\ table | Codex\ CXS\ \d{3}-\d{4} | 21\ CFR\ 133\.\d{3}
    | University\ of\ Guelph,\ (table\ of\ targets|humidity\ of\ curing|salt\ in\ finished\ cheese)
    | University\ of\ Guelph,\ (gouda|romano|salting)\ page
    | The\ Book\ of\ Cheese,\ 1918 | Handbook\ text\ on\ brining,\ book\ unnamed
    | Food-processing\ handbook,\ table\ of\ ripening
    | French\ decree\ (of\ \d+\ \w+\ \d{4}\ on\ an?\ [\w\ -]+,\ art\.\ \d | 88-1206,\ annex)
    | Association\ of\ an\ alpine\ cheese,\ page\ on\ its\ features
    | Specification\ of\ 2010\ of\ an\ alpine\ cheese\ with\ eyes | Trade\ page\ on\ a\ grana\ type
    | EU\ Official\ Journal\ notice\ 52021XC1206\(01\)
    | Floury\ 2010,\ Table\ II | Wemmenhove\ 2016 | Guinee\ and\ Fox\ 1983,\ abstract
    | South\ Dakota\ State\ University,\ dairy\ publication\ 351
    | Dairy\ Foods,\ article\ 95161 | A\ dairy's\ page\ on\ washed\ rinds
    | reussir\.fr,\ page | parolesdefromagers\.com,\ page | aspeneducationgroup\.com,\ page
    | common\ practice,\ no\ source | from\ memory | judgement: | calculated:
    """,
    re.VERBOSE,
)
"""What a source may begin with: one that was read, or an honest word that none was."""

PROTECTED = (
    "gruy|comt|beaufort|emmentaler|parmi|parmes|grana|asiago|fontina|feta|gorgon|roquef|stilton"
    "|reblochon|munster|morbier|mont.d.or|vacherin|sbrinz|pecorino|manchego|nectaire|fourme"
)
"""Names that the law keeps for one region; only the text of a source may use one."""


def figures(value, path=()):
    """Everything that carries a source below a value, with the path to it."""
    if isinstance(value, Figure | Limits | Care | MinimumAge):
        yield path, value
    elif is_dataclass(value):
        for field in fields(value):
            yield from figures(getattr(value, field.name), (*path, field.name))
    elif isinstance(value, tuple):
        for item in value:
            yield from figures(item, path)


def test_the_book_holds_the_styles_of_every_family():
    assert set(BOOK) == {
        *("cheddar", "colby", "monterey", "gouda", "edam", "grey-rind"),
        *("tilsit", "danbo", "trappist", "raclette-type", "brick", "limburger", "boxed-washed"),
        *("camembert", "brie", "lactic-goat", "blue", "blue-mild", "brined-white"),
        *("mozzarella", "provolone", "emmental", "alpine", "alpine-eyes"),
        *("extra-hard-grating", "hard-grating"),
    }
    assert all(style.id == name for name, style in BOOK.items())
    assert len({style.name for style in BOOK.values()}) == len(BOOK)


@EACH
def test_every_figure_has_its_value_within_its_range(style):
    for path, figure in figures(style):
        if isinstance(figure, Figure):
            assert figure.low <= figure.value <= figure.high, path
        elif isinstance(figure, Limits) and figure.low is not None and figure.high is not None:
            assert figure.low < figure.high, path


@EACH
def test_every_part_of_every_source_is_of_an_accepted_kind(style):
    for path, figure in figures(style):
        for part in figure.source.split("; "):
            assert KINDS.match(part), (path, part)


@EACH
def test_there_is_a_plan_for_every_method_and_no_other(style):
    plans = {Method.BRINE: style.brine, Method.DRY: style.dry, Method.MILLED: style.milled}
    assert style.methods
    assert {method for method, plan in plans.items() if plan is not None} == set(style.methods)


@EACH
def test_the_usual_dose_of_dry_salt_brings_the_salt_within_its_range(style):
    if style.dry is not None:
        kept = style.dry.dose.value * style.dry.retention.value
        assert style.salt.low <= kept <= style.salt.high


@EACH
def test_stages_have_an_end_but_for_the_last_and_tell_what_to_do(style):
    assert style.stages
    assert all(stage.days is not None and stage.days > 0 for stage in style.stages[:-1])
    assert style.stages[-1].days is None
    assert all(stage.care.endswith(".") for stage in style.stages)
    assert all(stage.temperature is not None for stage in style.stages)


@EACH
def test_a_style_with_several_stages_says_where_their_lengths_come_from(style):
    if len(style.stages) > 1:
        assert sum(note.startswith("Stages: ") for note in style.notes) == 1


@EACH
def test_what_comes_back_as_a_task_is_named_in_the_words_of_the_stage(style):
    words = {"turn": "turn", "rub": "rub", "wash": "wash", "wipe": "wipe"}
    for stage in style.stages:
        for work in stage.works:
            assert words[work.action] in stage.care.lower()


@EACH
def test_a_note_on_raw_milk_or_a_legal_age_stands_beside_an_age_that_can_be_counted(style):
    legal = {age.rule for age in style.ages}
    assert ("raw milk, USA" in legal) is any("aw milk in the USA" in note for note in style.notes)
    assert ("USA" in legal) is any("raw milk or not" in note for note in style.notes)


@EACH
def test_every_note_carries_its_source(style):
    for note in style.notes:
        named = re.search(KINDS.pattern, note, re.VERBOSE | re.IGNORECASE)
        assert named or "judgement" in note, note


@EACH
def test_a_legal_age_is_never_called_a_proof_of_safety(style):
    for note in style.notes:
        if "at least 60 days" in note or "months old" in note:
            assert "not a proof of safety" in note
            assert "ask your licensing authority" in note
        assert not re.search(r"\bsafe\b", note)


@EACH
def test_no_protected_name_is_the_name_of_a_style_or_a_stage(style):
    words = [style.id, style.name, style.family, *(stage.name for stage in style.stages)]
    assert not re.search(PROTECTED, " ".join(words).lower())
