"""Where a channel is going: its mean drifts, it changes fast, it will leave its range."""

from cavewatch.core.alarms.conditions.here import Here, consequence
from cavewatch.core.alarms.conditions.limit import bound, how_far
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.figures import FORECAST
from cavewatch.core.alarms.limits import Side
from cavewatch.core.alarms.texts import Words, apart, shown
from cavewatch.core.countdown import Span
from cavewatch.core.ranges import Edge
from cavewatch.core.reading import Channel


def drift(
    channel: Channel, side: Side, edge: Edge, mean: float, here: Here, words: Words
) -> Condition:
    """The condition of a channel whose time-weighted mean of 24 h lies beyond an edge.

    Args:
        channel: what is measured.
        side: which edge.
        edge: where it lies and whose it is.
        mean: in the channel's unit.
        here: the place and the wheels in it.
        words: what alarms say.
    """
    kind = here.kind(channel.quantity, "drift")
    text = words.texts[kind]
    what = (
        f"the {channel.quantity} at {channel.place} {text.word}: "
        f"{shown(channel.quantity, mean)} in the mean of 24 h, "
        f"{bound(channel.quantity, side, edge)}"
    )
    return Condition(
        f"{channel} drift {side}",
        text.priority,
        words.explained(
            kind,
            what,
            _then(kind, channel, side, here, words),
            how_far(channel.quantity, side, edge, mean),
        ),
        place=channel.place,
    )


def rate(channel: Channel, per_hour: float, here: Here, words: Words) -> Condition:
    """The condition of a channel that changes too fast [the channel's unit per hour, signed]."""
    kind = here.kind(channel.quantity, "rate")
    text = words.texts[kind]
    way = "rising" if per_hour > 0 else "falling"
    pace = f"{apart(channel.quantity, abs(per_hour))} an hour"
    what = f"the {channel.quantity} at {channel.place} {text.word}: {way} by {pace}"
    return Condition(
        f"{channel} rate",
        text.priority,
        words.explained(kind, what, consequence(text, here.wheels), f"{way} by {pace}"),
        place=channel.place,
    )


def forecast(
    channel: Channel, side: Side, edge: Edge, left: Span, here: Here, words: Words
) -> Condition:
    """The condition of a channel that is about to leave its range.

    Args:
        channel: what is measured.
        side: which edge it is going to cross.
        edge: where it lies and whose it is.
        left: time until it does: earliest, expected, latest [s].
        here: the place and the wheels in it.
        words: what alarms say.
    """
    kind = here.kind(channel.quantity, "forecast")
    text = words.texts[kind]
    what = (
        f"the {channel.quantity} at {channel.place} {text.word} in about "
        f"{words.length(left.expected)}: {bound(channel.quantity, side, edge)}"
    )
    return Condition(
        f"{channel} {side}{FORECAST}",
        text.priority,
        words.explained(
            kind,
            what,
            _then(kind, channel, side, here, words),
            f"between {words.length(left.low)} and {words.length(left.high)} from now",
        ),
        place=channel.place,
    )


def _then(kind: str, channel: Channel, side: Side, here: Here, words: Words) -> str:
    """What the trend itself does, and what being out of range then does to the wheels."""
    own = words.texts[kind]
    wheels = consequence(words.texts[here.kind(channel.quantity, side)], here.wheels)
    return f"{own.consequence}; {wheels}" if wheels else own.consequence
