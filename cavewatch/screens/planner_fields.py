"""The fields of the planner, and what they ask together."""

from cavewatch import clock, units
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.planner import Question
from cavewatch.core.reading import Quantity
from cavewatch.core.style import Method
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values, filled, optional
from cavewatch.screens.new_wheels import (
    count_field,
    method_field,
    room_words,
    size_field,
    style_field,
)
from cavewatch.screens.sheets import time_echo

ROOM = 12.0
"""Temperature where nothing tells another [degC]."""
STRENGTH = 20.0
"""Strength of a brine where neither tub nor style tells another [% w/w]. Common practice."""
_ENDLESS = ""


def planner_fields(desk: Desk, dairy: Dairy, tub: str) -> tuple[Field, ...]:
    """All of them, from the top down; `tub` is chosen at first, if there is one of that name."""
    return (
        style_field(desk),
        _weight(desk),
        size_field(desk),
        method_field(desk),
        count_field(desk),
        _tub(desk, dairy, tub),
        _temperature(desk, dairy),
        _strength(desk, dairy),
        *_times(desk),
    )


def question_of(v: Values, desk: Desk, dairy: Dairy) -> Question:
    """What the fields ask; a time of waking alone asks for going in now."""
    brine = v["method"] is Method.BRINE
    view = _view(dairy, v["tub"]) if brine else None
    life = None if view is None else view.life
    litres = None if life is None or life.litres is None else float(f"{life.litres:.3g}")
    left = None if life is None or life.when_lifted is None else life.when_lifted.strength
    in_at = v["in_at"]
    if in_at is None and v["out_by"] is None and v["awake"] is not None:
        in_at = desk.now() // 60 * 60
    return Question(
        style=v["style"],
        method=v["method"],
        weight=v["weight"],
        temperature=v["temperature"],
        strength=v["strength"],
        shape=v["size"],
        litres=litres,
        wheels=v["count"],
        others=() if view is None or litres is None else view.wheels,
        others_leave=None if left is None else round(left, 1),
        in_at=in_at,
        out_by=v["out_by"],
        awake=v["awake"],
    )


def put_in(v: Values, texts: dict[str, str], now: float) -> dict[str, str]:
    """What the form for new wheels is to start with."""
    known = {name: texts[name] for name in ("style", "count", "size")}
    known["method"] = v["method"].value
    if v["method"] is not Method.MILLED:
        known["weight"] = texts["weight"].strip() or f"{v['weight']:g} g"
    if v["method"] is Method.BRINE and v["tub"]:
        known["place"] = v["tub"]
    if v["in_at"] is not None and v["in_at"] <= now:
        known["when"] = texts["in_at"]
    return known


def _weight(desk: Desk) -> Field:
    def read(text: str, v: Values) -> float:
        return units.mass(text) if text.strip() else desk.styles[v["style"]].weight.value

    def echo(grams: float, v: Values) -> str:
        usual, mass = desk.styles[v["style"]].weight, desk.display.mass
        return f"{desk.display.to_weigh(grams)}; usual is {mass(usual.low)} to {mass(usual.high)}"

    return Field("weight", "weight", read, echo, hint="usual, or 2.3 kg, 5 lb")


def _tub(desk: Desk, dairy: Dairy, tub: str) -> Field:
    tubs = [view.place.name for view in dairy.places if view.life is not None]

    def echo(name: str, v: Values) -> str:
        if v["method"] is not Method.BRINE:
            return "goes into no brine"
        view = _view(dairy, name)
        if view is None or view.life is None:
            return "so much brine that it stays as it is"
        if view.life.litres is None:
            return "its volume is not known, so it counts as endless"
        return room_words(desk, dairy, name, v) or f"about {desk.display.volume(view.life.litres)}"

    return Field(
        "tub",
        "tub",
        lambda text, _: text,
        echo,
        tub if tub in tubs else (tubs or [_ENDLESS])[0],
        (*((name, name) for name in tubs), ("none, endless brine", _ENDLESS)),
    )


def _temperature(desk: Desk, dairy: Dairy) -> Field:
    """As the tub, to half a degree, so that it rests."""

    def read(text: str, v: Values) -> float:
        if text.strip():
            return units.temperature(text)
        view = _view(dairy, v["tub"]) if v["method"] is Method.BRINE else None
        if view is None or view.place.brine is None:
            return ROOM
        found = view.measured.get(Quantity.TEMPERATURE, view.place.brine.temperature)
        return round(2.0 * found) / 2.0

    return Field(
        "temperature",
        "temperature",
        read,
        lambda value, _: desk.display.temperature(value),
        hint="as the tub, or 12 C",
    )


def _strength(desk: Desk, dairy: Dairy) -> Field:
    """As the tub, to a tenth of a per cent, so that it rests."""

    def read(text: str, v: Values) -> float:
        brine = desk.styles[v["style"]].brine
        usual = STRENGTH if brine is None else brine.strength.value
        if v["method"] is not Method.BRINE:
            return usual
        if text.strip():
            return units.strength_at(text, v["temperature"])
        view = _view(dairy, v["tub"])
        return usual if view is None or view.strength is None else round(view.strength, 1)

    def echo(percent: float, v: Values) -> str:
        if v["method"] is not Method.BRINE:
            return "no brine is needed"
        return f"{desk.display.strength(percent)} by weight"

    return Field("strength", "strength", read, echo, hint="as the tub, or 20 %")


def _times(desk: Desk) -> tuple[Field, Field, Field]:
    show = time_echo(desk)

    def instant(text: str) -> float:
        return clock.instant(filled(text), desk.now(), desk.zone, ahead=True)

    def out_by(text: str) -> float:
        at = instant(text)
        if at <= desk.now():
            raise EntryError(f"'{text}' is past; write a time to come, such as 'Fri 06:00'")
        return at

    def hours(awake: tuple[float, float]) -> str:
        ends = (f"{int(at) // 3600:02d}:{int(at) % 3600 // 60:02d}" for at in awake)
        return f"turned and lifted from {' to '.join(ends)}"

    return (
        Field(
            "in_at",
            "in at",
            optional(instant),
            lambda at, v: "any time" if at is None else show(at, v),
            hint="16:30, Fri 07:00",
        ),
        Field(
            "out_by",
            "out by",
            optional(out_by),
            lambda at, v: "when it is ready" if at is None else show(at, v),
            hint="Fri 07:00",
        ),
        Field(
            "awake",
            "awake",
            optional(units.waking_hours),
            lambda awake, _: "at any hour" if awake is None else hours(awake),
            hint="06:00-22:00",
        ),
    )


def _view(dairy: Dairy, name: str) -> PlaceView | None:
    return next((view for view in dairy.places if view.place.name == name and view.life), None)
