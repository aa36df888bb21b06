"""What is on record of a wheel's milk, pH and raw-milk days; the text of its label."""

import math
from collections.abc import Sequence
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.journal import Acidity, Entry, Milk
from cavewatch.core.record import (
    RawMilk,
    acidity_of,
    milk_of,
    raw_milk,
    treatment,
    weights,
)
from cavewatch.core.record.cautions import AUTHORITY, LABELLING
from cavewatch.core.wheel import Wheel
from cavewatch.screens.details import fact
from cavewatch.screens.lines import Line, Role
from cavewatch.screens.making.label import label_lines
from cavewatch.screens.making.words import Sayer, raw_words
from cavewatch.screens.wording import milk_words
from cavewatch.units import Display

UNKNOWN = "not on record; M enters it"


def make_lines(
    wheel: Wheel,
    raw: RawMilk | None,
    entries: Sequence[Entry],
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
) -> list[Line]:
    """Milk, pH and raw-milk days.

    Args:
        wheel: it.
        raw: the days that its milk asks for; None while they are not counted yet.
        entries: the journal.
        now: [s since 1970 UTC]
        zone: in which people there read the time.
        display: the viewer's units.
        width: of a line [cells].
    """
    milk = milk_of(wheel, entries)
    done = treatment(milk)
    lines: list[Line] = [] if milk else fact("milk", UNKNOWN, width, Role.FAINT)
    for number, entry in enumerate(milk):
        act = entry.act
        assert isinstance(act, Milk)
        words = f"{clock.moment(entry.at, now, zone)}: {milk_words(act, display)}"
        lines += fact("" if number else "milk", words, width)
        lines += fact("", f"cultures: {act.cultures}" if act.cultures else "", width)
        lines += fact("", f"rennet: {act.rennet}" if act.rennet else "", width)
    measured = (
        f"{entry.act.ph:.2f} {entry.act.where} {clock.moment(entry.at, now, zone)}"
        for entry in acidity_of(wheel, entries)
        if isinstance(entry.act, Acidity)
    )
    lines += fact("pH", ", ".join(measured), width)
    if raw_milk(done, wheel) is not None:
        lines += fact("raw milk", "being counted" if raw is None else _days(raw, now, zone), width)
        lines += fact("", AUTHORITY, width)
    return lines


def label_facts(
    wheel: Wheel,
    entries: Sequence[Entry],
    zone: ZoneInfo,
    display: Display,
    width: int,
) -> list[Line]:
    """The text of its label, as far as it is on record."""
    lines: list[Line] = []
    done = treatment(milk_of(wheel, entries))
    say, curve = Sayer(zone, display), weights(wheel, entries)
    for number, words in enumerate(label_lines(wheel, done, curve, say)):
        lines += fact("" if number else "label", words, width)
    return [*lines, *fact("", LABELLING, width, Role.FAINT)]


def _days(raw: RawMilk, now: float, zone: ZoneInfo) -> str:
    """'37 days to go: day 23 of 60, earliest 24 Jan'."""
    words, left = raw_words(raw, now, zone), math.ceil(raw.rule.days - raw.counted.days)
    if left <= 0 or raw.left_at is not None:
        return words
    return f"{left} {'day' if left == 1 else 'days'} to go: {words}"
