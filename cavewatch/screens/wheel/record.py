"""What was entered about a wheel: weights, assays, notes, all else, and what was voided."""

from collections.abc import Iterable, Mapping, Sequence
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.journal import (
    Assayed,
    Entry,
    Made,
    Noted,
    Voided,
    Weighed,
    corrections,
    wheels_of,
)
from cavewatch.core.record import weights as weights_of
from cavewatch.core.uptake import Uptake
from cavewatch.core.wheel import Wheel
from cavewatch.screens import wording
from cavewatch.screens.details import fact
from cavewatch.screens.lines import Line, Role
from cavewatch.screens.making.words import loss_words
from cavewatch.units import Display

VOID = "×"
"""Stands before an entry that does not count."""


def about(entries: Iterable[Entry], number: int) -> list[Entry]:
    """The entries that name a wheel, the newest first; those that only void others left out."""
    found = (entry for entry in entries if number in wheels_of(entry.act))
    return sorted(found, key=lambda entry: (entry.at, entry.id), reverse=True)


def record_lines(
    wheel: Wheel,
    uptake: Uptake | None,
    entries: Sequence[Entry],
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
) -> list[Line]:
    """Weights with the loss, assays beside the model, notes; then entries with corrections."""
    named, void = about(entries, wheel.id), corrections(entries)
    curve = weights_of(wheel, entries)
    count = [entry for entry in named if entry.id not in void]
    lines: list[Line] = []
    weights = [f"{display.mass(wheel.weight)} as it went to salt"]
    weights += [
        f"{clock.moment(each.at, now, zone)}: {display.to_weigh(each.grams)}"
        for each in curve.weights
    ]
    if uptake is not None:
        then = "at the lift" if uptake.lifted_at is not None else "now"
        weights.append(f"by the model {then} {wording.ranged(uptake.now.weight, display.to_weigh)}")
    lines += _listed("weights", weights, width)
    role = Role.CAUTION if curve.verdict in ("more than usual", "less than usual") else Role.PLAIN
    loss = loss_words(curve, lambda at: clock.moment(at, now, zone))
    lines += fact("loss", loss, width, role)
    assays = [
        f"{_when(entry, now, zone)}: {entry.act.salt:.2f} ± {entry.act.error:.2f} % salt"
        for entry in reversed(count)
        if isinstance(entry.act, Assayed)
    ]
    if uptake is not None and uptake.lifted_at is not None:
        salt = wording.ranged(uptake.now.salt, display.salt)
        assays.append(f"by the model at the lift {salt}")
    lines += _listed("assays", assays or ["none"], width)
    notes = [
        f"{_when(entry, now, zone)}: {entry.act.text}"
        for entry in count
        if isinstance(entry.act, Noted)
    ]
    lines += _listed("notes", notes or ["none"], width)
    first = True
    for entry in named:
        if entry.id in void or not isinstance(entry.act, Noted | Weighed | Assayed):
            label = "entries" if first else ""
            words, role = _entry(entry, void, now, zone, display)
            lines += fact(label, words, width, role)
            first = False
    return lines


def _listed(label: str, texts: Iterable[str], width: int) -> list[Line]:
    return [line for n, text in enumerate(texts) for line in fact("" if n else label, text, width)]


def _entry(
    entry: Entry, void: Mapping[int, Entry], now: float, zone: ZoneInfo, display: Display
) -> tuple[str, Role]:
    words = f"{_when(entry, now, zone)}: {wording.act_words(entry.act, display)}"
    if isinstance(entry.act, Made) and entry.act.lot:
        words += f", lot {entry.act.lot}"
    words += f", {entry.by}"
    correction = void.get(entry.id)
    if correction is None:
        return words, Role.PLAIN
    assert isinstance(correction.act, Voided)
    why = f": {correction.act.why}" if correction.act.why else ""
    when = clock.moment(correction.written, now, zone)
    return f"{VOID} void {words} - voided by {correction.by} {when}{why}", Role.FAINT


def _when(entry: Entry, now: float, zone: ZoneInfo) -> str:
    return clock.moment(entry.at, now, zone)
