import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import (
    KINDS,
    Acidity,
    Act,
    BrineMeasured,
    BrineWork,
    Clarity,
    Corrected,
    Entry,
    JournalError,
    Made,
    Milk,
    Moved,
    OutOfService,
    Reset,
    Sample,
    Shelved,
    Suppressed,
    Tended,
    Treatment,
    Turned,
    Voided,
    Washed,
    from_plain,
    standing,
    to_plain,
)
from cavewatch.core.shape import Cuboid, Cylinder, Sphere
from cavewatch.core.style import Method

numbers = st.lists(st.integers(1, 9999), min_size=1, max_size=9).map(tuple)
sizes = st.floats(0.1, 200)
amounts = st.floats(-1e9, 1e9)
texts = st.text(max_size=40)
acts = st.one_of(
    st.builds(
        Made,
        wheels=numbers,
        style=texts,
        method=st.sampled_from(Method),
        weight=st.floats(1, 1e5),
        place=texts,
        shape=st.one_of(
            st.none(),
            st.builds(Cylinder, sizes, sizes),
            st.builds(Cuboid, sizes, sizes, sizes),
            st.builds(Sphere, sizes),
        ),
        salting_done=st.booleans(),
        made_at=st.none() | st.floats(0, 4e9),
        floats=st.booleans(),
        lot=texts,
        renneted_at=st.none() | st.floats(0, 4e9),
        moulded_at=st.none() | st.floats(0, 4e9),
        made_ago=st.booleans(),
        renneted_ago=st.booleans(),
        moulded_ago=st.booleans(),
    ),
    *(
        st.from_type(cls).filter(lambda act: all(n > 0 for n in getattr(act, "wheels", ())))
        for cls in (Turned, Washed, Moved, OutOfService, Reset)
    ),
    *(st.builds(cls, texts, amounts, texts) for cls in (Shelved, Suppressed)),
    st.builds(
        BrineMeasured, texts, *[st.none() | amounts] * 4, st.none() | st.sampled_from(Clarity)
    ),
    st.builds(Tended, texts, st.sampled_from(BrineWork), *[amounts] * 4, st.none() | amounts),
    st.builds(
        Milk,
        st.sampled_from(Treatment),
        numbers | st.just(()),
        texts,
        texts,
        st.none() | amounts,
        texts,
        texts,
        texts,
    ),
    st.builds(Acidity, amounts, st.sampled_from(Sample), numbers | st.just(()), texts),
    st.builds(Corrected, texts, texts, texts),
)


@given(acts)
def test_every_act_has_a_plain_form(act: Act) -> None:
    assert from_plain(to_plain(act)) == act


def test_a_test_of_brine_from_before_more_could_be_tested_reads_as_ever() -> None:
    plain = {"kind": "brine", "place": "tub", "strength": 20.3}
    assert from_plain(plain) == BrineMeasured("tub", 20.3)
    assert to_plain(BrineMeasured("tub", 20.3)) == plain
    looked = BrineMeasured("tub", clarity=Clarity.SLIMY)
    assert to_plain(looked) == {"kind": "brine", "place": "tub", "clarity": "slimy"}


def test_every_kind_can_be_read_back() -> None:
    for kind, cls in KINDS.items():
        with pytest.raises(JournalError, match="is missing"):
            from_plain({"kind": kind})
        assert cls.__doc__


@pytest.mark.parametrize(
    ("plain", "words"),
    [
        ([], "must be an object"),
        ({"kind": "melted"}, "'kind' is 'melted'; it must be one of made, turned"),
        ({"kind": "turned", "wheels": "4"}, "turned: 'wheels' is '4'; it must be a list"),
        ({"kind": "turned", "wheels": [True]}, "it must be a list of wheel numbers"),
        ({"kind": "turned", "wheels": [4], "pace": 1}, "turned: 'pace' is not known"),
        ({"kind": "salted", "wheels": [4], "grams": "9"}, "'grams' is '9'; it must be a number"),
        ({"kind": "salted", "wheels": [4], "grams": float("nan")}, "it must be a number"),
        ({"kind": "ended", "wheels": [4], "how": "lost"}, "it must be one of sold, cut"),
        ({"kind": "brine", "place": "tub", "clarity": "murky"}, "one of clear, cloudy, slimy"),
        ({"kind": "tended", "place": "tub", "work": "blessed"}, "one of mixed, restored"),
        ({"kind": "tended", "place": "tub"}, "tended: 'work' is missing"),
    ],
)
def test_what_cannot_be_read_is_named(plain: object, words: str) -> None:
    with pytest.raises(JournalError, match=words.replace("(", r"\(")):
        from_plain(plain)


@given(st.recursive(st.none() | st.booleans() | st.floats() | st.text(), st.lists))
def test_nothing_but_a_journal_error_comes_of_nonsense(value: object) -> None:
    for kind in KINDS:
        fields = {"kind": kind, **dict.fromkeys(KINDS[kind].__slots__, value)}
        try:
            from_plain(fields)
        except JournalError:
            continue


def entry(number: int, at: float, act: Act) -> Entry:
    return Entry(number, at, at, "MK", act)


def test_entries_count_in_the_order_of_what_happened() -> None:
    late = entry(1, 50.0, Turned((4,)))
    early = entry(2, 10.0, Turned((4,)))
    assert standing([late, early]) == [early, late]


def test_a_voided_entry_does_not_count_and_stays_void() -> None:
    mistake = entry(1, 10.0, Turned((4,)))
    right = entry(2, 11.0, Turned((5,)))
    assert standing([mistake, right, entry(3, 20.0, Voided(1))]) == [right]


def test_voiding_the_void_brings_the_entry_back() -> None:
    turned = entry(1, 10.0, Turned((4,)))
    void, back = entry(2, 20.0, Voided(1)), entry(3, 30.0, Voided(2))
    assert standing([turned, void, back]) == [turned]
