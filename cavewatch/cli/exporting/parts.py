"""What is on record of entries, alarms, sensors and gaps, as tables of a report."""

from collections.abc import Iterable

from cavewatch import __version__, clock
from cavewatch.config import Config
from cavewatch.core import journal
from cavewatch.core.alarms.exposure import Exposure
from cavewatch.core.journal import Act, Corrected, Entry, SensorChecked, Voided
from cavewatch.core.journal.columns import to_cells
from cavewatch.core.reading import Channel
from cavewatch.core.record import Gap, Line, Occurrence
from cavewatch.core.record.cautions import LISTERIA
from cavewatch.core.record.cells import number
from cavewatch.reports import Facts, Part, Row, Section, Table, Text
from cavewatch.screens.making.words import Sayer
from cavewatch.screens.wording import act_words, action_words, difference_words, value_words

CORRECTED = (
    "Values are corrected by the checks of the sensors that stand below; what each sensor sent is "
    "kept unchanged and is in the table of 'cavewatch export readings'."
)
NO_CLAIM = (
    "This report shows what is on record. It does not say that a cheese is fit to eat: that is "
    "decided by the rules of the place, by the licensing authority and by those who hold the "
    "licence."
)


def say_act(act: Act, say: Sayer) -> str:
    """An act in full, with the reasons, ends and figures that a screen leaves out or rounds."""
    told = [act_words(act, say.display)]
    if isinstance(act, journal.Made):
        told.append(f"{act.style}, {act.method}, {say.display.mass(act.weight)} each")
        told += [f"lot {act.lot}"] if act.lot else []
    if isinstance(act, journal.Milk):
        told += [f"cultures: {act.cultures}"] if act.cultures else []
        told += [f"rennet: {act.rennet}"] if act.rennet else []
    if isinstance(act, journal.Shelved | journal.Suppressed | journal.Testing):
        told.append(f"until {say.when(act.until)}")
    entered = [
        f"{column} {number(value)}"
        for column, value in to_cells(act, say.when).items()
        if isinstance(value, float)
    ]
    told += [f"as entered: {', '.join(entered)}"] if entered else []
    why = getattr(act, "why", "")
    return "; ".join([*told, f"why: {why}"] if why else told)


def entries(lines: Iterable[Line], say: Sayer) -> Section:
    """Every entry as it was written, those that do not count struck out."""
    rows = []
    for line in lines:
        entry, struck = line.entry, line.struck_by
        by = ""
        if struck is not None:
            why = struck.act.why if isinstance(struck.act, Voided) else ""
            by = f"struck by entry {struck.id}, {struck.by}, {say.when(struck.written)}"
            by += f": {why}" if why else ", no reason given"
        cells = (
            str(entry.id),
            say.when(entry.at),
            say.when(entry.written),
            entry.by or "no initials",
            say_act(entry.act, say),
            by,
        )
        rows.append(Row(cells, struck=struck is not None))
    columns = ("no.", "happened", "written", "by", "entry", "correction")
    return Section("Entries", (Table(columns, tuple(rows)),) if rows else ())


def alarms(found: Iterable[Occurrence], say: Sayer) -> Section:
    """Each time that an alarm was abnormal, who saw it and what was done."""
    rows = []
    for each in found:
        seen = each.acknowledged
        rows.append(
            Row(
                (
                    say.when(each.since),
                    "still there" if each.until is None else say.when(each.until),
                    each.alarm.priority.value,
                    f"{each.alarm.key}: {each.alarm.explanation.what}",
                    "nobody" if seen is None else f"{seen.by}, {say.when(seen.at)}",
                    "; ".join(_action(entry, say) for entry in each.actions) or "none on record",
                )
            )
        )
    columns = ("from", "to", "priority", "alarm", "acknowledged", "corrective action")
    return Section("Alarms", (Table(columns, tuple(rows)),) if rows else ())


def _action(entry: Entry, say: Sayer) -> str:
    act = entry.act
    assert isinstance(act, Corrected)
    return f"{action_words(act)} ({entry.by}, {say.when(entry.at)})"


def checks(found: Iterable[Entry], say: Sayer) -> Section:
    """Checks of sensors: against what, what was shown, and what follows."""
    rows = []
    for entry in found:
        act = entry.act
        if not isinstance(act, SensorChecked):
            continue
        quantity = Channel.named(act.channel).quantity
        away = difference_words(quantity, act.offset, say.display)
        rows.append(
            Row(
                (
                    say.when(entry.at),
                    act.channel,
                    act.against.value,
                    value_words(quantity, act.shown, say.display),
                    f"{away} to add" if act.fit else "unfit: too far off to be corrected",
                    f"± {difference_words(quantity, act.error, say.display)}",
                    entry.by or "no initials",
                )
            )
        )
    columns = ("when", "sensor", "against", "it showed", "correction", "doubt", "by")
    return Section("Sensor checks", (Table(columns, tuple(rows)),) if rows else ())


def gap_rows(channel: Channel, found: Iterable[Gap], say: Sayer) -> list[Row]:
    """Stretches without a reading of a channel."""
    return [
        Row(
            (
                str(channel),
                say.when(gap.since),
                say.when(gap.until),
                clock.duration(gap.until - gap.since),
            )
        )
        for gap in found
    ]


def gap_section(rows: Iterable[Row]) -> Section:
    """All such stretches."""
    rows = tuple(rows)
    table = Table(("channel", "from", "to", "no data for"), rows)
    return Section("Gaps in the readings", (table,) if rows else ())


def in_range(found: Iterable[Exposure], say: Sayer) -> Section:
    """For how long channels were in range, above and below it."""
    rows = []
    for each in found:
        if each.low is None or each.high is None or each.mean is None:
            rows.append(Row((str(each.channel), "no data", "", "", "", "", "", "")))
            continue
        values = (
            value_words(each.channel.quantity, value, say.display)
            for value in (each.low, each.mean, each.high)
        )
        ranged = (
            (
                f"{100 * each.inside / each.watched:.1f} %",
                clock.duration(each.above),
                clock.duration(each.below),
            )
            if each.ranged
            else ("no range", "", "")
        )
        rows.append(Row((str(each.channel), *values, *ranged, clock.duration(each.unwatched))))
    columns = (
        *("channel", "lowest", "mean", "highest"),
        *("in range", "above", "below", "not watched"),
    )
    return Section("Time in range", (Table(columns, tuple(rows)),) if rows else ())


def closing(config: Config, *more: str) -> tuple[Section, Section]:
    """Cautions, and how long what is kept."""
    cautions: list[Part] = [Text(text, caution=True) for text in (*more, LISTERIA, NO_CLAIM)]
    days = config.keep_readings / 86_400.0
    kept = (
        f"Single readings are kept for {days:.0f} days; the lowest, mean and highest of every "
        "minute and hour, entries and alarms are kept for as long as the store is. Entries and "
        "alarms can be added to, never changed or deleted: a mistake is struck by a later entry "
        "that names it, and both stay."
    )
    rule = (
        "21 CFR 117.315 asks for two years (from memory, not read); other rules may ask for "
        "longer. Whoever must show single readings for longer sets keep_readings under [store]."
    )
    made = Facts((("made with", f"Cavewatch {__version__}"), ("times", f"of {config.zone}")))
    return (
        Section("Cautions", tuple(cautions)),
        Section("How long records are kept", (Text(kept), Text(rule), made)),
    )
