"""The invented week's journal: what the makers, MK and TO, did and wrote down.

Part of the demonstration. One wheel is turned hours late, one entry is a slip
that is corrected, one is written an hour after the deed: as journals are. Every
evening all wheels out of salt are turned, and the washed rinds rubbed.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from cavewatch.config import load
from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    BrineWork,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Moved,
    Noted,
    Salted,
    Tended,
    Turned,
    Voided,
    Wash,
    Washed,
)
from cavewatch.core.style import Method
from cavewatch.core.wheel import Standing, fold
from demo.days import march

BRINE, DRY, MILLED = Method.BRINE, Method.DRY, Method.MILLED
UPPER, LOWER, TUB, TRAY, RACK = "upper cave", "lower cave", "tub", "tray", "rack"
MINUTE = 60.0
WASHED = ("tilsit", "alpine", "limburger")
"""Styles whose rinds are rubbed."""


class _Journal:
    """A journal being written."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []

    def add(self, at: float, act: Act, by: str = "MK", after: float = 3 * MINUTE) -> int:
        """Write an entry `after` so many seconds; return its number."""
        number = len(self.entries) + 1
        self.entries.append(Entry(number, at, at + after, by, act))
        return number


def _wheels(first: int, last: int) -> tuple[int, ...]:
    return tuple(range(first, last + 1))


def _make(
    wheels: tuple[int, ...], style: str, method: Method, grams: float, place: str, lot: str
) -> Made:
    """New wheels; the lot ends in month and day of the make, which began at nine."""
    return Made(wheels, style, method, grams, place, made_at=_made_at(lot), lot=lot)


def _there(wheels: tuple[int, ...], style: str, grams: float, place: str, lot: str) -> Made:
    """Wheels whose salting was over before the journal began."""
    return Made(
        wheels, style, BRINE, grams, place, salting_done=True, made_at=_made_at(lot), lot=lot
    )


def _made_at(lot: str) -> float:
    month, day = int(lot[-4:-2]), int(lot[-2:])
    return datetime(2026, month, day, 9, tzinfo=UTC).timestamp()


def entries(slips: bool = True) -> list[Entry]:
    """The whole journal, in the order of writing.

    Args:
        slips: whether a wheel is overlooked and faults of the caves are noted.
    """
    journal = _Journal()
    _before(journal)
    _monday_and_tuesday(journal, slips)
    _wednesday_and_thursday(journal, slips)
    _friday(journal, slips)
    _weekend(journal, slips)
    for at, act in list(_rounds(journal.entries)):
        journal.add(at, act, "TO")
    return _numbered(journal.entries)


def _rounds(entries: list[Entry]) -> Iterator[tuple[float, Act]]:
    """The care of the rinds, every evening."""
    config = load(Path(__file__).with_name("week.toml"))
    places = {place.name: place for place in config.places}
    for day in range(0, 9):
        at = march(day, 18, 35)
        wheels, _ = fold([e for e in entries if e.at <= at], config.styles, places)
        aging = {n: wheel for n, wheel in wheels.items() if wheel.standing is Standing.AGING}
        yield at, Turned(tuple(aging))
        wet = tuple(n for n, wheel in aging.items() if wheel.style.id in WASHED)
        yield at + 10 * MINUTE, Washed(wet, Wash.RUB)


def _numbered(entries: list[Entry]) -> list[Entry]:
    """The entries in the order of writing, with numbers that follow it."""
    ordered = sorted(entries, key=lambda entry: (entry.written, entry.id))
    number = {entry.id: n for n, entry in enumerate(ordered, 1)}
    return [
        replace(
            entry,
            id=number[entry.id],
            act=replace(entry.act, entry=number[entry.act.entry])
            if isinstance(entry.act, Voided)
            else entry.act,
        )
        for entry in ordered
    ]


def _before(journal: _Journal) -> None:
    """What is there when the week begins."""
    add = journal.add
    add(march(0, 9, 0), Noted("Knockadrizzle Dairy is invented, and so is all that follows."))
    add(march(0, 9, 10), _there(_wheels(1, 6), "gouda", 2400.0, UPPER, "G-0122"))
    add(march(0, 9, 14), _there(_wheels(7, 10), "tilsit", 3600.0, LOWER, "T-0210"))
    add(march(0, 9, 18), _there(_wheels(11, 12), "alpine", 8200.0, LOWER, "A-0218"))
    add(march(0, 9, 22), _there(_wheels(13, 20), "limburger", 450.0, LOWER, "L-0225"))
    add(march(0, 9, 26), _there(_wheels(21, 28), "camembert", 250.0, UPPER, "C-0227"))
    add(march(0, 10, 30), _make(_wheels(29, 31), "cheddar", MILLED, 4000.0, UPPER, "D-0227"), "TO")
    add(march(0, 15, 40), BrineMeasured(TUB, 20.3))
    add(march(0, 17, 0), _make(_wheels(32, 34), "tilsit", BRINE, 3600.0, TUB, "T-0228"))
    add(march(0, 17, 5), Salted(_wheels(32, 34), 30.0))
    add(march(1, 12, 40), Turned(_wheels(32, 34)), "TO")
    add(march(1, 12, 45), Salted(_wheels(32, 34), 9.0), "TO")
    add(march(1, 16, 0), _make(_wheels(35, 38), "blue", DRY, 2200.0, TRAY, "B-0227"))
    add(march(1, 16, 5), Salted(_wheels(35, 38), 66.0))
    add(march(1, 19, 0), _make(_wheels(39, 42), "edam", BRINE, 1700.0, TUB, "E-0301"))
    add(march(1, 20, 20), Lifted(_wheels(32, 34), RACK))


def _monday_and_tuesday(journal: _Journal, slips: bool) -> None:
    """Gouda in and out, a day's camembert; wheel 48 may be overlooked."""
    add = journal.add
    add(march(2, 9, 40), Ended((1, 2), Ending.SOLD, "Monday round"), "TO")
    add(march(2, 10, 40), Turned(_wheels(39, 42)), "TO")
    add(march(2, 16, 0), Turned(_wheels(35, 38)))
    add(march(2, 16, 5), Salted(_wheels(35, 38), 66.0))
    add(march(2, 16, 30), _make(_wheels(43, 48), "gouda", BRINE, 2500.0, TUB, "G-0302"))
    add(march(2, 16, 35), Salted(_wheels(43, 48), 22.0))

    add(march(3, 6, 40), Turned(_wheels(39, 42)), "TO")
    add(march(3, 8, 20), Moved(_wheels(32, 34), LOWER), "TO")
    add(march(3, 9, 0), _make(_wheels(49, 60), "camembert", BRINE, 250.0, TUB, "C-0302"))
    add(march(3, 9, 5), Salted(_wheels(49, 60), 3.2))
    add(march(3, 11, 0), Turned(_wheels(49, 60)), "TO")
    add(march(3, 11, 5), Salted(_wheels(49, 60), 1.0), "TO")
    add(march(3, 11, 45), Lifted(_wheels(49, 60), RACK), "TO", after=65 * MINUTE)
    seen = _wheels(43, 47 if slips else 48)
    add(march(3, 12, 50), Turned(seen))
    add(march(3, 12, 55), Salted(seen, 7.0))
    add(march(3, 16, 0), Turned(_wheels(35, 38)))
    add(march(3, 16, 5), Salted(_wheels(35, 38), 66.0))
    add(march(3, 17, 50), Turned(_wheels(39, 42)))
    if slips:
        add(march(3, 18, 50), Turned((48,)))
        add(march(3, 18, 55), Salted((48,), 4.0))
        add(march(3, 19, 0), Noted("It lay under the board and was missed at one o'clock.", (48,)))
    add(march(3, 20, 40), Lifted(seen, RACK))
    if slips:
        add(march(3, 21, 20), Lifted((48,), RACK))


def _wednesday_and_thursday(journal: _Journal, slips: bool) -> None:
    """Edam and blue out, the brine salted up, the second make of the week in and out."""
    add = journal.add
    add(march(4, 8, 30), Moved(_wheels(49, 60), UPPER), "TO")
    add(march(4, 9, 45), Lifted(_wheels(39, 42), RACK))
    add(march(4, 10, 25), BrineMeasured(TUB, 19.7))
    if slips:
        add(march(4, 10, 30), Noted("Skimming the brine, salting it up; the tub's probe is out."))
    add(march(4, 10, 35), Tended(TUB, BrineWork.SKIMMED))
    add(march(4, 10, 50), Tended(TUB, BrineWork.RESTORED, salt=1900.0))
    add(march(4, 16, 10), Lifted(_wheels(35, 38), UPPER), "TO")
    add(march(4, 16, 45), _make(_wheels(61, 64), "tilsit", BRINE, 3600.0, TUB, "T-0304"))
    add(march(4, 16, 50), Salted(_wheels(61, 64), 30.0))

    add(march(5, 7, 40), BrineMeasured(TUB, 19.9))
    add(march(5, 7, 45), Noted("Some of Wednesday's salt lies on the bottom; stirred the brine."))
    add(march(5, 8, 30), _make(_wheels(65, 74), "limburger", DRY, 450.0, TRAY, "L-0304"), "TO")
    slip = add(march(5, 8, 35), Salted(_wheels(65, 74), 46.0), "TO")
    add(march(5, 8, 40), Voided(slip, "4.6 g, not 46"), "TO")
    add(march(5, 8, 35), Salted(_wheels(65, 74), 4.6), "TO", after=9 * MINUTE)
    add(march(5, 12, 40), Turned(_wheels(61, 64)))
    add(march(5, 12, 45), Salted(_wheels(61, 64), 9.0))
    add(march(5, 20, 15), Lifted(_wheels(61, 64), RACK))
    add(march(5, 20, 30), Turned(_wheels(65, 74)))
    add(march(5, 20, 35), Salted(_wheels(65, 74), 4.6))


def _friday(journal: _Journal, slips: bool) -> None:
    """The humidifier found empty; limburger out, alpine in."""
    add = journal.add
    if slips:
        add(march(6, 7, 10), Noted("The upper cave's humidifier had run dry; filled it."))
    add(march(6, 8, 35), Turned(_wheels(65, 74)), "TO")
    add(march(6, 8, 40), Salted(_wheels(65, 74), 4.6), "TO")
    add(march(6, 9, 15), Moved(_wheels(43, 48), UPPER), "TO")
    add(march(6, 10, 0), Ended(_wheels(3, 5), Ending.SOLD, "Saturday market"), "TO")
    add(march(6, 20, 30), _make(_wheels(75, 76), "alpine", BRINE, 8000.0, TUB, "A-0306"))
    add(march(6, 20, 35), Salted(_wheels(75, 76), 42.0))
    add(march(6, 20, 50), Lifted(_wheels(65, 74), LOWER))


def _weekend(journal: _Journal, slips: bool) -> None:
    """The iced coil thawed; new wheels for the week to come."""
    add = journal.add
    if slips:
        add(march(7, 6, 50), Noted("The lower cave's coil was one block of ice; thawed it."))
    add(march(7, 7, 10), Turned(_wheels(75, 76)))
    add(march(7, 7, 15), Salted(_wheels(75, 76), 11.0))
    add(march(7, 7, 40), Moved(_wheels(39, 42), UPPER), "TO")
    add(march(7, 7, 45), Moved(_wheels(61, 64), LOWER), "TO")
    add(march(7, 10, 0), _make(_wheels(77, 80), "blue", DRY, 2200.0, TRAY, "B-0305"))
    add(march(7, 10, 5), Salted(_wheels(77, 80), 66.0))
    add(march(7, 10, 45), Lifted(_wheels(75, 76), LOWER))
    add(march(7, 11, 0), Ended((7,), Ending.CUT, "for the counter"))
    add(march(8, 10, 5), Turned(_wheels(77, 80)))
    add(march(8, 10, 10), Salted(_wheels(77, 80), 66.0))
    add(march(8, 10, 50), _make(_wheels(81, 86), "gouda", BRINE, 2500.0, TUB, "G-0307"))
    add(march(8, 10, 55), Salted(_wheels(81, 86), 22.0))
