"""A signal that cannot be trusted: the place is then not watched."""

from cavewatch.core.alarms.conditions.here import Here, by_style
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.core.reading import Channel, Reading, SignalStatus
from cavewatch.core.signal.health import Why

_KEYS = {
    SignalStatus.FAILURE: "silent",
    SignalStatus.OUT_OF_SPECIFICATION: "unwatched",
    SignalStatus.CHECK: "tested",
    SignalStatus.MAINTENANCE: "check due",
}
"""One alarm for each status, whatever the reason."""


def silent(channel: Channel, last: Reading | None, here: Here, words: Words) -> Condition:
    """The condition of a channel from which nothing usable comes."""
    failed = last is not None and last.value is None
    why = Why.NO_VALUE if failed else Why.SILENT
    return unwatched(channel, SignalStatus.FAILURE, why, here, words)


def unwatched(
    channel: Channel, status: SignalStatus, why: Why, here: Here, words: Words
) -> Condition:
    """The condition of a channel whose signal is not good.

    Args:
        channel: what is measured.
        status: any but GOOD (NAMUR NE 107).
        why: the gravest reason.
        here: the place and the wheels in it.
        words: what alarms say.
    """
    kind = f"signal {why}"
    text = words.texts[kind]
    what = f"the {channel.quantity} at {channel.place} {text.word}"
    told = words.explained(kind, what, others=by_style(here.wheels))
    return Condition(f"{channel} {_KEYS[status]}", text.priority, told)
