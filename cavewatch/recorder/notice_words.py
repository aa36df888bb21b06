"""What a notice says: the values of the placeholders, in plain text of the maker's time zone."""

from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import State
from cavewatch.core.notices import Kind, Message
from cavewatch.core.text import clean

LISTED = 10
"""More alarms than these are only counted, so that a message stays one that is read."""
_LONGEST = 400
"""Of a line, whatever came from outside [characters]."""
_WELL = "all is well again"
_TRIAL = "this is a trial; nothing is wrong"


def worded(message: Message, dairy: str, at: float, zone: ZoneInfo) -> dict[str, str]:
    """A text for each of `core.notices.PLACEHOLDERS`.

    Args:
        message: what is to be told.
        dairy: its name.
        at: now [s since 1970 UTC].
        zone: in which people there read the time.
    """
    alarms = message.alarms
    lines = [line for alarm in alarms[:LISTED] for line in _lines(alarm, at, zone)]
    if len(alarms) > LISTED:
        lines.append(f"and {len(alarms) - LISTED} more: 'cavewatch status' shows all")
    first = alarms[0] if alarms and message.kind is not Kind.WELL else None
    if message.kind is Kind.TRIAL:
        what, lines = _TRIAL, [_TRIAL]
    elif first is None:
        beside = f", but {_counted(len(alarms))} of another sort still there" if alarms else ""
        what = _WELL + beside
        lines = [f"nothing stands any more of what was told{beside}", *lines]
    else:
        what = "; ".join(alarm.explanation.what for alarm in alarms[:LISTED])
    return {
        "dairy": dairy,
        "kind": message.kind,
        "title": clean(f"{dairy}: {what if first is None else _headline(message)}", _LONGEST),
        "text": "\n".join(clean(line, _LONGEST) for line in lines),
        "what": clean(what, _LONGEST),
        "action": "" if first is None else clean(first.explanation.action, _LONGEST),
        "priority": "" if first is None else first.priority,
        "place": "" if first is None else clean(first.place, _LONGEST),
        "count": str(len(alarms)),
    }


def _headline(message: Message) -> str:
    first = message.alarms[0]
    passed = all(alarm.state is State.RTNUN for alarm in message.alarms)
    still = "still: " if message.kind is Kind.AGAIN else ""
    many = f"{_counted(len(message.alarms))}: " if len(message.alarms) > 1 else ""
    return f"{still}{many}{first.explanation.what}{', but that has passed' if passed else ''}"


def _counted(number: int) -> str:
    return f"{number} alarm{'' if number == 1 else 's'}"


def _lines(alarm: Alarm, at: float, zone: ZoneInfo) -> list[str]:
    told = alarm.explanation
    since = f"  {alarm.priority}, since {clock.moment(alarm.since, at, zone)}"
    if alarm.state is State.RTNUN:
        return [told.what, f"{since}; it has passed, and nobody has acknowledged it"]
    respond = clock.duration(told.respond_hours * 3600.0)
    lines = [told.what, since, f"  do, within {respond}: {told.action}"]
    return [*lines, f"  else: {told.consequence}"] if told.consequence else lines
