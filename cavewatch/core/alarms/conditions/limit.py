"""A value beyond an edge of its range, and ranges that cannot be kept together."""

from cavewatch.core.alarms.conditions.here import Here, by_style, consequence
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.figures import FORECAST
from cavewatch.core.alarms.limits import Side
from cavewatch.core.alarms.texts import Words, apart, shown
from cavewatch.core.ranges import Edge, Range, clash_words, wanted
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.wheel import Wheel


def out_of_range(
    channel: Channel, side: Side, edge: Edge, value: float, here: Here, words: Words
) -> Condition:
    """The condition of a channel that is beyond an edge, and why it matters there.

    Args:
        channel: what is measured.
        side: which edge.
        edge: where it lies and whose it is.
        value: the newest, in the channel's unit.
        here: the place and the wheels in it.
        words: what alarms say.
    """
    kind = here.kind(channel.quantity, side)
    text = words.texts[kind]
    hit, spared = _parted(channel.quantity, side, edge, value, here)
    what = (
        f"{channel.place} is {text.word}: {shown(channel.quantity, value)}, "
        f"{bound(channel.quantity, side, edge)}"
    )
    return Condition(
        f"{channel} {side}",
        text.priority,
        words.explained(
            kind,
            what,
            consequence(text, hit or here.wheels),
            how_far(channel.quantity, side, edge, value),
            _others(hit, spared, edge),
        ),
        place=channel.place,
        takes_over=f"{channel} {side}{FORECAST}",
    )


def clash(channel: Channel, limits: Range, here: Here, words: Words) -> Condition:
    """The condition of a place whose wheels want what cannot be had together."""
    who = clash_words(channel.quantity, limits, shown, apart)
    return Condition(
        f"{channel} clash",
        words.texts["clash"].priority,
        words.explained("clash", f"{channel.place}: {who}", others=by_style(here.wheels)),
    )


def bound(quantity: Quantity, side: Side, edge: Edge) -> str:
    """'at least 90 % for Tilsit, cave'."""
    least = "at least" if side.below else "at most"
    return f"{least} {shown(quantity, edge.value)} for {edge.whose}"


def how_far(quantity: Quantity, side: Side, edge: Edge, value: float) -> str:
    """'6.0 % below it'."""
    where = "below" if side.below else "above"
    return f"{apart(quantity, abs(value - edge.value))} {where} it"


def _parted(
    quantity: Quantity, side: Side, edge: Edge, value: float, here: Here
) -> tuple[list[Wheel], list[Wheel]]:
    """The wheels whose own range the value has left too, and those that are still in theirs."""
    hit: list[Wheel] = []
    spared: list[Wheel] = []
    for wheel in here.wheels:
        want = wanted(wheel, here.place.kind, quantity, here.at)
        if want is None:
            continue
        whose, limits = want[0], want[1].at(here.measured)
        own = limits.low if side.below else limits.high
        beyond = own is not None and (value < own if side.below else value > own)
        (hit if beyond or whose == edge.whose else spared).append(wheel)
    return hit, spared


def _others(hit: list[Wheel], spared: list[Wheel], edge: Edge) -> str:
    """Who else is affected: those out of their own range as well, and those still within."""
    name, _, _ = edge.whose.partition(",")
    more = by_style(wheel for wheel in hit if wheel.style.name != name)
    kept = by_style(spared)
    parts = (f"{more}, out of their range too" if more else "", f"not yet: {kept}" if kept else "")
    return "; ".join(part for part in parts if part)
