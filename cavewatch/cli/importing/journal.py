"""`cavewatch import journal`: entries of a file that are not in the journal yet."""

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from cavewatch.cli.importing.drafts import Draft, drafts
from cavewatch.cli.importing.readings import confirmed
from cavewatch.cli.live import Live
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Entry, Made, Noted, Voided, to_plain
from cavewatch.core.text import clean
from cavewatch.core.wheel import fold
from cavewatch.store.database import cleaned
from sensors.faults import shown


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to be appended, and what is there."""

    new: tuple[Draft, ...]
    there: int
    numbers: dict[int, int]
    """Number in this journal, by that in the file, of what is there."""


def import_journal(config_path: Path | None, path: Path, by: str | None, sure: bool) -> None:
    """Append the entries of a file that are not there yet.

    Raises:
        CavewatchError: for a file with anything wrong in it; nothing is appended then.
    """
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        signed = desk.initials if by is None else by
        entries = live.store.entries()
        found = plan(drafts(path, desk.now(), desk.zone, signed), entries)
        name = shown(path.name)
        _check_wheels(name, found.new, entries)
        click.echo(f"{name}: {len(found.new)} new, {found.there} there already")
        for misfit in _misfits(live, found.new, entries):
            click.echo(f"  will be kept but does not fit: {clean(misfit, 300)}")
        if not found.new or not confirmed(sure):
            return
        _append(live, name, found, signed)
    finally:
        live.store.close()


def plan(found: Sequence[Draft], entries: Iterable[Entry]) -> Plan:
    """Which of the drafts are in the journal: equal in time, initials and act, each once.

    Raises:
        CavewatchError: for one that voids an entry which the file does not hold.
    """
    there = defaultdict(list)
    for entry in reversed(list(entries)):
        there[_key(entry.at, entry.by, entry.act)].append(entry.id)
    new: list[Draft] = []
    numbers: dict[int, int | None] = {}
    for draft in found:
        act: Act | None = draft.act
        if isinstance(draft.act, Voided):
            if draft.act.entry not in numbers:
                raise CavewatchError(
                    f"line {draft.line} voids entry {draft.act.entry}, which is not in this file "
                    "before it; its number must stand in 'entry'"
                )
            voided = numbers[draft.act.entry]
            act = None if voided is None else replace(draft.act, entry=voided)
        same = None if act is None else there.get(_key(draft.at, draft.by, act))
        number = same.pop() if same else None
        if number is None:
            new.append(draft)
        if draft.number is not None:
            numbers[draft.number] = number
    known = {key: number for key, number in numbers.items() if number is not None}
    return Plan(tuple(new), len(found) - len(new), known)


def _key(at: float, by: str, act: Act) -> tuple[float, str, str]:
    """What makes two entries the same; a file holds times to the microsecond."""
    return round(at, 6), clean(by, 40), json.dumps(_rounded(cleaned(to_plain(act))))


def _rounded(plain: Any) -> Any:
    if isinstance(plain, dict):
        return {key: _rounded(value) for key, value in plain.items()}
    return round(plain, 6) if isinstance(plain, float) else plain


def _check_wheels(name: str, new: Sequence[Draft], entries: Sequence[Entry]) -> None:
    """Refuse a make with numbers that another make has: what follows would be told of both."""
    made = {
        n: entry.id for entry in entries if isinstance(entry.act, Made) for n in entry.act.wheels
    }
    for draft in new:
        for number in draft.act.wheels if isinstance(draft.act, Made) else ():
            if number in made:
                raise CavewatchError(
                    f"{name}, line {draft.line}: wheel {number} was made by entry {made[number]} "
                    "already, and this is another one; give it a number that is free"
                )


def _misfits(live: Live, new: Sequence[Draft], entries: Sequence[Entry]) -> list[str]:
    """What would not fit the dairy, in words."""
    places = {place.name: place for place in live.config.places}
    last = max((entry.id for entry in entries), default=0)
    more = [
        Entry(last + n, draft.at, draft.written or draft.at, draft.by, draft.act)
        for n, draft in enumerate(new, start=1)
        if not isinstance(draft.act, Voided)
    ]
    _, before = fold(entries, live.config.styles, places)
    _, after = fold([*entries, *more], live.config.styles, places)
    return [misfit for misfit in after if misfit not in before]


def _append(live: Live, name: str, found: Plan, by: str) -> None:
    """Write the new entries, and one that says where they came from."""
    desk, store = live.desk(), live.store
    numbers = dict(found.numbers)
    written: list[int] = []
    try:
        for draft in found.new:
            act = draft.act
            if isinstance(act, Voided):
                act = replace(act, entry=numbers[act.entry])
            if draft.written is None:
                entry = desk.append(act, draft.at, draft.by, typed=True)
            else:
                # Another clock gave this time, which does not move when this one is set.
                store.stamp = None
                entry = store.append(draft.at, draft.written, draft.by, act, typed=True)
            written.append(entry.id)
            if draft.number is not None:
                numbers[draft.number] = entry.id
    except KeyboardInterrupt:
        click.echo(
            f"{name}: stopped after {len(written)} entries; they stay, and the same command goes "
            "on with the rest",
            err=True,
        )
        raise click.exceptions.Exit(130) from None
    finally:
        if written:
            text = f"imported {len(written)} entries, {written[0]} to {written[-1]}, from '{name}'"
            desk.append(Noted(text), desk.now(), by)
    click.echo(f"entries {written[0]} to {written[-1]} were written")
