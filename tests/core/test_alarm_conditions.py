"""What alarms say: with numbers in the units of who looks, for the wheels that are there."""

from collections.abc import Callable, Collection
from dataclasses import replace

import pytest

from cavewatch.config import shipped
from cavewatch.core.alarms.alarm import Explanation, Priority
from cavewatch.core.alarms.conditions import (
    Here,
    brine,
    clash,
    drift,
    forecast,
    late,
    out_of_range,
    rate,
    silent,
    unwatched,
)
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.limits import Side
from cavewatch.core.alarms.texts import Text, Words
from cavewatch.core.brine.life import life
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.due import Task
from cavewatch.core.journal import BrineMeasured, Entry
from cavewatch.core.place import Place
from cavewatch.core.ranges import Edge, Range
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.signal.health import Why
from cavewatch.core.style import Limits, Method, Style
from cavewatch.core.wheel import Event, Happening, Standing, Wheel
from cavewatch.units import Display, System

Told = Callable[[str], str]
H = 3600.0
DAY = 24 * H
DAMP = Channel("near cave", Quantity.HUMIDITY)
WARM = Channel("near cave", Quantity.TEMPERATURE)
BRINE_WARM = Channel("tub", Quantity.TEMPERATURE)

IN_BRINE = {
    "standing": Standing.IN_BRINE,
    "salted_out_at": None,
    "history": (Happening(-2 * H, Event.IN, "tub"),),
}
WORDS = Words(shipped(), lambda seconds: f"{seconds / H:g} h")
CELSIUS, FAHRENHEIT = Display(System.METRIC).told, Display(System.US).told


@pytest.fixture
def wheel(style: Style) -> Callable[..., Wheel]:
    def make(number: int, place: str = "near cave", **changed: object) -> Wheel:
        base = Wheel(
            id=number,
            make=1,
            lot="",
            style=style,
            method=Method.BRINE,
            weight=2500.0,
            shape=style.proportions.sized(2300.0),
            made_at=-30 * DAY,
            floats=True,
            place=place,
            since=-30 * DAY,
            standing=Standing.AGING,
            salted_out_at=-29 * DAY,
            history=(),
            basis=1,
        )
        return replace(base, **changed)  # type: ignore[arg-type]

    return make


@pytest.fixture
def washed(style: Style) -> Style:
    """Another style, whose cave is damper."""
    stages = (replace(style.stages[1], name="cave", humidity=Limits(92, 97, "invented")),)
    return replace(
        style, id="fen", name="Fen", family="soft, washed rind", stages=stages, brine=style.brine
    )


def here(places: dict[str, Place], name: str, *wheels: Wheel) -> Here:
    return Here(places[name], wheels, 0.0)


def full(told: Explanation) -> bool:
    parts = (told.what, told.causes, told.consequence, told.action)
    return all(parts) and told.respond_hours > 0


@pytest.mark.parametrize("side", Side)
@pytest.mark.parametrize("quantity", Quantity)
@pytest.mark.parametrize("name", ["near cave", "tub"])
def test_every_channel_out_of_range_explains_itself(
    places: dict[str, Place], name: str, quantity: Quantity, side: Side
) -> None:
    channel, edge = Channel(name, quantity), Edge(90.0, "Meadow, cave")
    value = 80.0 if side.below else 99.0
    found = out_of_range(channel, side, edge, value, here(places, name), WORDS)
    told = found.explanation
    assert full(told)
    assert told.what.startswith(f"{name} is ")
    assert "for Meadow, cave" in told.what
    assert told.how_far.endswith("below it" if side.below else "above it")
    assert (found.key, found.place) == (f"{channel} {side}", name)


def test_a_dry_cave_says_by_how_much_and_for_whom(places: dict[str, Place]) -> None:
    edge = Edge(90.0, "Meadow, cave")
    told = out_of_range(DAMP, Side.LOW, edge, 84.0, here(places, "near cave"), WORDS).explanation
    assert told.what == "near cave is too dry: 84 %, at least 90 % for Meadow, cave"
    assert told.how_far == "6.0 % below it"


@pytest.mark.parametrize(
    ("told", "what", "how_far", "freezing"),
    [
        (CELSIUS, "5.1 °C, at least 10.0 °C for config", "4.9 °C below it", "below 1.7 °C"),
        (FAHRENHEIT, "41.2 °F, at least 50.0 °F for config", "8.8 °F below it", "below 35.0 °F"),
    ],
)
def test_numbers_and_texts_alike_are_in_the_units_of_who_looks(
    places: dict[str, Place], told: Told, what: str, how_far: str, freezing: str
) -> None:
    place = here(places, "near cave")
    kept = out_of_range(WARM, Side.LOW, Edge(10.0, "config"), 5.12, place, WORDS).explanation
    found = kept.worded(told)
    assert found.what == f"near cave is too cold: {what}"
    assert found.how_far == how_far
    assert freezing in found.consequence
    assert "{" not in f"{found}"
    assert found.worded(CELSIUS) == found


def test_the_consequence_is_that_for_the_wheels_that_are_hit(
    places: dict[str, Place], wheel: Callable[..., Wheel], washed: Style
) -> None:
    inside = here(places, "near cave", wheel(1), wheel(2, style=washed), wheel(3, style=washed))
    texts = shipped()["humidity low"].wheels
    only = out_of_range(DAMP, Side.LOW, Edge(92.0, "Fen, cave"), 90.0, inside, WORDS).explanation
    assert only.consequence == f"Fen: {texts['soft, washed rind']}"
    assert only.others == "not yet: wheel 1 (Meadow)"
    both = out_of_range(DAMP, Side.LOW, Edge(92.0, "Fen, cave"), 80.0, inside, WORDS).explanation
    assert f"Fen: {texts['soft, washed rind']}" in both.consequence
    assert f"Meadow: {texts['semi-hard']}" in both.consequence
    assert both.others == "wheel 1 (Meadow), out of their range too"


def test_a_style_of_its_own_goes_before_its_family(
    places: dict[str, Place], wheel: Callable[..., Wheel]
) -> None:
    text = shipped()["humidity low"]
    own = replace(text, wheels={**text.wheels, "meadow": "it sulks"})
    words = replace(WORDS, texts={**shipped(), "humidity low": own})
    told = out_of_range(
        DAMP, Side.LOW, Edge(85.0, "Meadow, cave"), 80.0, here(places, "near cave", wheel(1)), words
    ).explanation
    assert told.consequence == "Meadow: it sulks"


def test_an_empty_place_gets_what_holds_for_any_cheese(places: dict[str, Place]) -> None:
    edge = Edge(90.0, "config")
    told = out_of_range(DAMP, Side.LOW, edge, 84.0, here(places, "near cave"), WORDS).explanation
    assert told.consequence == shipped()["humidity low"].consequence
    assert told.others == ""


@pytest.mark.parametrize(
    ("place", "channel"), [("near cave", WARM), ("near cave", DAMP), ("tub", BRINE_WARM)]
)
def test_trends_explain_themselves(
    places: dict[str, Place], place: str, channel: Channel, wheel: Callable[..., Wheel]
) -> None:
    inside, edge = here(places, place, wheel(1, place)), Edge(14.0, "Meadow, cave")
    found = [
        drift(channel, Side.HIGH, edge, 15.5, inside, WORDS),
        rate(channel, -3.0, inside, WORDS),
        forecast(channel, Side.HIGH, edge, Span(1200, 2400, 3600), inside, WORDS),
    ]
    assert all(full(each.explanation) and each.place == place for each in found)
    assert len({each.key for each in found}) == 3
    drifted, fast, coming = (each.explanation for each in found)
    damp = channel.quantity is Quantity.HUMIDITY
    assert f"{'16 %' if damp else '15.5 °C'} in the mean of 24 h" in CELSIUS(drifted.what)
    assert fast.worded(CELSIUS).what.endswith(f"by 3.0 {'%' if damp else '°C'} an hour")
    assert fast.worded(FAHRENHEIT).how_far.endswith(f"by {'3.0 %' if damp else '5.4 °F'} an hour")
    assert "leaves its range in about 0.666667 h: at most 14" in CELSIUS(coming.what)
    assert coming.how_far == "between 0.333333 h and 1 h from now"


def test_a_sensor_without_value_is_told_from_one_that_is_not_heard(
    places: dict[str, Place],
) -> None:
    broken = Reading(DAMP, 0.0, None, SignalStatus.FAILURE)
    place = here(places, "near cave")
    dead, lost = silent(DAMP, broken, place, WORDS), silent(DAMP, None, place, WORDS)
    assert dead.key == lost.key == "near cave.humidity silent"
    assert dead.explanation.what.endswith("is unwatched: the sensor gives no value")
    assert lost.explanation.what.endswith("is unwatched: nothing comes from the sensor")


STATUSES = {
    Why.SILENT: SignalStatus.FAILURE,
    Why.NO_VALUE: SignalStatus.FAILURE,
    Why.TESTED: SignalStatus.CHECK,
    Why.CHECK_OLD: SignalStatus.MAINTENANCE,
}


@pytest.mark.parametrize("why", Why)
def test_a_bad_signal_says_that_the_place_is_unwatched_and_who_stands_there(
    places: dict[str, Place], wheel: Callable[..., Wheel], why: Why
) -> None:
    status = STATUSES.get(why, SignalStatus.OUT_OF_SPECIFICATION)
    place = here(places, "near cave", wheel(3), wheel(4), wheel(5))
    found = unwatched(DAMP, status, why, place, WORDS)
    told = found.explanation
    assert full(told)
    assert ("unwatched" in told.what) is (status is not SignalStatus.MAINTENANCE)
    assert told.others == "wheels 3–5 (Meadow)"
    # A door declared open does not excuse a sensor.
    assert found.place == ""


def test_a_signal_has_one_alarm_for_each_status(places: dict[str, Place]) -> None:
    place, worn = here(places, "near cave"), SignalStatus.OUT_OF_SPECIFICATION
    keys = {unwatched(DAMP, worn, why, place, WORDS).key for why in (Why.NOISE, Why.JUMP, Why.WET)}
    assert len(keys) == 1


def test_a_clash_names_both_styles_and_the_nearest_compromise(places: dict[str, Place]) -> None:
    limits = Range(Edge(14, "Warm, room"), Edge(10, "Cold, cave"))
    what = FAHRENHEIT(clash(WARM, limits, here(places, "near cave"), WORDS).explanation.what)
    assert "Warm, room wants temperature of at least 57.2 °F" in what
    assert "Cold, cave of at most 50.0 °F" in what
    assert "53.6 °F, which misses each by 3.6 °F" in what


def measurement(strength: float | None = None, ph: float | None = None) -> Entry:
    return Entry(1, -H, -H, "", BrineMeasured("tub", strength=strength, ph=ph))


def told_of(place: Here, entry: Entry) -> dict[str, Condition]:
    known = life(place.place, [entry], {w.id: w for w in place.wheels}, 0.0)
    return {each.key: each for each in brine(place, known, WORDS)}


def test_a_brine_too_weak_for_a_wheel_in_it_says_by_how_much(
    places: dict[str, Place], wheel: Callable[..., Wheel]
) -> None:
    inside = here(places, "tub", wheel(1, "tub", **IN_BRINE))
    assert told_of(inside, measurement(18.2)) == {}
    found = told_of(inside, measurement(17.0))["tub brine weak"]
    assert "the brine in tub is too weak: 17.0 % salt" in found.explanation.what
    assert found.explanation.what.endswith("at least 18 % for Meadow")
    assert found.explanation.how_far == "1.0 % below it"
    assert found.explanation.others == "wheel 1 (Meadow)"
    assert full(found.explanation)


@pytest.mark.parametrize(
    ("ph", "keys"), [(4.2, {"tub brine acid"}), (5.2, set()), (6.6, {"tub brine mild"})]
)
def test_a_brine_too_acid_or_not_acid_enough_is_told(
    places: dict[str, Place], wheel: Callable[..., Wheel], ph: float, keys: set[str]
) -> None:
    inside = here(places, "tub", wheel(1, "tub", **IN_BRINE))
    found = told_of(inside, measurement(20.0, ph))
    assert set(found) == keys
    assert all(full(each.explanation) for each in found.values())


def test_a_brine_without_cheese_in_it_calls_nobody(places: dict[str, Place]) -> None:
    assert told_of(here(places, "tub"), measurement(5.0, 7.0)) == {}


Judge = Callable[..., Condition | None]


@pytest.fixture
def lateness(wheel: Callable[..., Wheel]) -> Judge:
    wheels = {number: wheel(number, "tub", **IN_BRINE) for number in (4, 5)}

    def judge(
        action: Action, hours_late: float, salt: float = 2.1, told: Collection[str] = ()
    ) -> Condition | None:
        due = Span(20 * H, 20 * H, 30 * H)
        countdown = Countdown(
            wheel=4,
            basis=1,
            solved_at=0.0,
            started_at=0.0,
            salt=Span(salt - 0.2, salt, salt + 0.5),
            target=Span(1.4, 1.8, 2.2),
            steps=(Step(action, due),),
            reason="",
        )
        task = Task(action, due, (4,), "tub", "Meadow", None)
        return late(task, {4: countdown}, wheels, (20 + hours_late) * H, WORDS, told)

    return judge


def test_a_task_a_little_late_is_no_alarm(lateness: Judge) -> None:
    assert lateness(Action.LIFT, 1.9) is None
    assert lateness(Action.TURN, 4.9) is None
    assert lateness(Action.COAT, 4.9) is None


def test_a_lift_is_late_when_the_wheel_is_on_its_way_to_too_much_salt(lateness: Judge) -> None:
    assert lateness(Action.LIFT, 9.0, salt=1.95) is None
    assert lateness(Action.LIFT, 9.0, salt=2.05) is not None


def test_once_told_it_stays_until_the_task_is_no_longer_overdue(lateness: Judge) -> None:
    for action in (Action.TURN, Action.LIFT):
        told = [f"wheel 4 {action} late"]
        assert lateness(action, 0.1, salt=1.8) is None
        assert lateness(action, 0.1, salt=1.8, told=told) is not None
        assert lateness(action, 0.0, salt=1.8, told=told) is None


def test_a_face_left_unsalted_is_never_an_alarm(lateness: Judge) -> None:
    assert lateness(Action.SALT_FACE, 100.0) is None


def test_a_wheel_left_in_too_long_tells_its_salt(lateness: Judge) -> None:
    found = lateness(Action.LIFT, 3.0)
    assert found is not None
    assert (found.key, found.priority) == ("wheel 4 lift late", Priority.HIGH)
    told = found.explanation
    assert told.what == "wheel 4 in tub should have been lifted 3 h ago"
    assert "about 2.1 % salt by now (1.9 to 2.6); Meadow wants 1.8 %" in told.consequence
    assert "no more than 2.2 %" in told.consequence
    assert told.how_far == "3 h late"
    assert told.others == "wheel 5 (Meadow)"


def test_conditions_of_one_alarm_keep_its_key(lateness: Judge) -> None:
    first, later = lateness(Action.TURN, 6.0), lateness(Action.TURN, 9.0)
    assert first is not None
    assert later is not None
    assert replace(first, explanation=later.explanation) == later


CARED = {Action.WASH: -9 * DAY, Action.TURN: -9 * DAY}


def care(wheels: list[Wheel], action: Action, days_late: float, every: float) -> Condition | None:
    task = Task(
        action,
        Span(0.0, 0.0, 0.0),
        tuple(w.id for w in wheels if w.place == "near cave"),
        "near cave",
        wheels[0].style.name,
        None,
        every=every * DAY,
    )
    return late(task, {}, {w.id: w for w in wheels}, days_late * DAY, WORDS)


def test_rind_care_becomes_an_alarm_when_a_whole_interval_was_missed(
    wheel: Callable[..., Wheel], washed: Style
) -> None:
    wheels = [wheel(1, style=washed, cared=CARED), wheel(2, style=washed)]
    assert care(wheels, Action.WASH, 1.9, every=2) is None
    found = care(wheels, Action.WASH, 2.1, every=2)
    assert found is not None
    told = found.explanation
    assert told.what == "wheels 1, 2 in near cave should have been washed 50.4 h ago"
    assert told.consequence.startswith("Fen: the smear dries")
    assert found.key == "wheels 1, 2 wash late"
    turned = care(wheels, Action.TURN, 2.1, every=2)
    assert turned is not None
    assert turned.explanation.consequence != told.consequence


def test_care_several_times_a_day_is_given_a_day(wheel: Callable[..., Wheel]) -> None:
    wheels = [wheel(1, cared=CARED)]
    assert care(wheels, Action.TURN, 0.9, every=0.5) is None
    assert care(wheels, Action.TURN, 1.1, every=0.5) is not None


def test_where_nobody_enters_care_its_lateness_is_not_known(wheel: Callable[..., Wheel]) -> None:
    assert care([wheel(1)], Action.WASH, 30.0, every=1) is None


@pytest.mark.parametrize("text", shipped().values(), ids=shipped())
def test_no_text_breaks_when_it_is_told(text: Text) -> None:
    told = [text.word, text.causes, text.consequence, text.action, *text.wheels.values()]
    assert not any("{" in FAHRENHEIT(words) for words in told)


def test_a_test_of_the_brine_that_is_late_is_a_task_only() -> None:
    due = Task(Action.TEST, Span(0, 0, 0), (), "tub", "", None, None, "measure the strength")
    assert late(due, {}, {}, 100 * DAY, WORDS) is None
