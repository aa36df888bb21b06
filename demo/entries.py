"""The invented week's journal: what the makers, MK and TO, did and wrote down.

Part of the demonstration. One wheel is turned hours late, one entry is a slip
that is corrected, one is written an hour after the deed: as journals are.
"""

from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Moved,
    Noted,
    Salted,
    Turned,
    Voided,
)
from cavewatch.core.style import Method
from demo.days import march

UPPER, LOWER, TUB, TRAY, RACK = "upper cave", "lower cave", "tub", "tray", "rack"
MINUTE = 60.0


class _Journal:
    """A journal being written."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []

    def add(self, at: float, act: Act, by: str = "MK", after: float = 3 * MINUTE) -> int:
        """Write an entry `after` so many seconds; return its number."""
        number = len(self.entries) + 1
        self.entries.append(Entry(number, at, at + after, by, act))
        return number


def _through(first: int, last: int) -> tuple[int, ...]:
    return tuple(range(first, last + 1))


def entries() -> list[Entry]:
    """The whole journal, in the order of writing."""
    journal = _Journal()
    _before(journal)
    _monday_and_tuesday(journal)
    _wednesday_and_thursday(journal)
    _friday(journal)
    _weekend(journal)
    return journal.entries


def _before(journal: _Journal) -> None:
    """What is there when the week begins."""
    add = journal.add
    add(march(0, 9, 0), Noted("Knockadrizzle Dairy is invented, and so is all that follows."))

    def there(
        minute: int,
        wheels: tuple[int, ...],
        style: str,
        weight: float,
        place: str,
        made_at: float,
        lot: str,
    ) -> None:
        act = Made(
            wheels, style, Method.BRINE, weight, place, salting_done=True, made_at=made_at, lot=lot
        )
        add(march(0, 9, minute), act, after=MINUTE)

    there(10, _through(1, 6), "gouda", 2400.0, UPPER, march(-37, 14), "G-0122")
    there(14, _through(7, 10), "tilsit", 3600.0, LOWER, march(-18, 15), "T-0210")
    there(17, _through(11, 12), "alpine", 8200.0, LOWER, march(-10, 16), "A-0218")
    there(20, _through(13, 20), "limburger", 450.0, LOWER, march(-3, 12), "L-0225")
    there(24, _through(21, 28), "camembert", 250.0, UPPER, march(-1, 12), "C-0227")
    add(
        march(0, 10, 30),
        Made(
            _through(29, 31),
            "cheddar",
            Method.MILLED,
            4000.0,
            UPPER,
            made_at=march(-1, 13),
            lot="D-0227",
        ),
        "TO",
    )
    add(march(0, 15, 40), BrineMeasured(TUB, 20.3))
    add(
        march(0, 17, 0),
        Made(
            _through(32, 34),
            "tilsit",
            Method.BRINE,
            3600.0,
            TUB,
            made_at=march(0, 14),
            lot="T-0228",
        ),
    )
    add(march(0, 17, 5), Salted(_through(32, 34), 28.0))
    add(march(1, 12, 40), Turned(_through(32, 34)), "TO")
    add(march(1, 12, 45), Salted(_through(32, 34), 17.0), "TO")
    add(
        march(1, 16, 0),
        Made(
            _through(35, 38), "blue", Method.DRY, 2200.0, TRAY, made_at=march(-1, 15), lot="B-0227"
        ),
    )
    add(march(1, 16, 5), Salted(_through(35, 38), 66.0))
    add(
        march(1, 19, 0),
        Made(
            _through(39, 42), "edam", Method.BRINE, 1700.0, TUB, made_at=march(1, 13), lot="E-0301"
        ),
    )


def _monday_and_tuesday(journal: _Journal) -> None:
    """Tilsit out, gouda in, a day's camembert; wheel 48 is overlooked."""
    add = journal.add
    add(march(2, 8, 25), Lifted(_through(32, 34), RACK))
    add(march(2, 9, 40), Ended((1, 2), Ending.SOLD, "Monday round"), "TO")
    add(march(2, 16, 0), Turned(_through(35, 38)))
    add(march(2, 16, 5), Salted(_through(35, 38), 66.0))
    add(
        march(2, 16, 30),
        Made(
            _through(43, 48), "gouda", Method.BRINE, 2500.0, TUB, made_at=march(2, 13), lot="G-0302"
        ),
    )
    add(march(2, 16, 35), Salted(_through(43, 48), 20.0))

    add(march(3, 8, 20), Moved(_through(32, 34), LOWER), "TO")
    add(
        march(3, 9, 0),
        Made(
            _through(49, 60),
            "camembert",
            Method.BRINE,
            250.0,
            TUB,
            made_at=march(2, 15),
            lot="C-0302",
        ),
    )
    add(march(3, 9, 5), Salted(_through(49, 60), 2.4))
    add(march(3, 10, 25), Turned(_through(49, 60)), "TO")
    add(march(3, 10, 30), Salted(_through(49, 60), 1.4), "TO")
    add(march(3, 11, 50), Lifted(_through(49, 60), RACK), "TO", after=65 * MINUTE)
    add(march(3, 13, 0), Turned(_through(43, 47)))
    add(march(3, 13, 5), Salted(_through(43, 47), 12.0))
    add(march(3, 13, 20), Turned(_through(39, 42)))
    add(march(3, 16, 0), Turned(_through(35, 38)))
    add(march(3, 16, 5), Salted(_through(35, 38), 66.0))
    add(march(3, 18, 50), Turned((48,)))
    add(march(3, 18, 52), Salted((48,), 12.0), after=2 * MINUTE)
    add(
        march(3, 18, 55),
        Noted("It lay under the board and was not turned with the others.", (48,)),
        after=2 * MINUTE,
    )


def _wednesday_and_thursday(journal: _Journal) -> None:
    """Gouda and edam out, the brine salted up, the second make of the week."""
    add = journal.add
    add(march(4, 8, 30), Moved(_through(49, 60), UPPER), "TO")
    add(march(4, 9, 5), Lifted(_through(43, 48), RACK))
    add(march(4, 10, 25), BrineMeasured(TUB, 18.6))
    add(march(4, 10, 30), Noted("Skimming the brine and salting it up; the tub's probe is out."))
    add(march(4, 11, 35), BrineMeasured(TUB, 20.6))
    add(
        march(4, 16, 45),
        Made(
            _through(61, 64),
            "tilsit",
            Method.BRINE,
            3600.0,
            TUB,
            made_at=march(4, 13),
            lot="T-0304",
        ),
    )
    add(march(4, 16, 50), Salted(_through(61, 64), 28.0))

    add(march(5, 7, 30), Lifted(_through(35, 38), UPPER))
    add(march(5, 7, 50), Lifted(_through(39, 42), RACK))
    add(
        march(5, 8, 30),
        Made(
            _through(65, 74),
            "limburger",
            Method.DRY,
            450.0,
            TRAY,
            made_at=march(4, 15),
            lot="L-0304",
        ),
        "TO",
    )
    slip = add(march(5, 8, 35), Salted(_through(65, 74), 46.0), "TO")
    add(march(5, 8, 40), Voided(slip, "4.6 g, not 46"), "TO")
    add(march(5, 8, 35), Salted(_through(65, 74), 4.6), "TO", after=9 * MINUTE)
    add(march(5, 12, 20), Turned(_through(61, 64)))
    add(march(5, 12, 25), Salted(_through(61, 64), 17.0))
    add(march(5, 20, 30), Turned(_through(65, 74)))
    add(march(5, 20, 35), Salted(_through(65, 74), 4.6))


def _friday(journal: _Journal) -> None:
    """The humidifier found empty; tilsit out, alpine in."""
    add = journal.add
    add(
        march(6, 7, 10),
        Noted("The upper cave's humidifier had run dry; filled, and a can beside it."),
    )
    add(march(6, 8, 5), Lifted(_through(61, 64), RACK))
    add(march(6, 8, 35), Turned(_through(65, 74)), "TO")
    add(march(6, 8, 40), Salted(_through(65, 74), 4.6), "TO")
    add(march(6, 9, 15), Moved(_through(43, 48), UPPER), "TO")
    add(march(6, 10, 0), Ended(_through(3, 5), Ending.SOLD, "Saturday market"), "TO")
    add(
        march(6, 19, 50),
        Made(
            _through(75, 76),
            "alpine",
            Method.BRINE,
            8000.0,
            TUB,
            made_at=march(6, 11),
            lot="A-0306",
        ),
    )
    add(march(6, 19, 55), Salted(_through(75, 76), 40.0))


def _weekend(journal: _Journal) -> None:
    """The iced coil thawed; new wheels for the week to come."""
    add = journal.add
    add(march(7, 6, 30), Turned(_through(75, 76)))
    add(march(7, 6, 35), Salted(_through(75, 76), 24.0))
    add(
        march(7, 6, 50),
        Noted("The lower cave's coil was one block of ice; thawed it, fan runs free."),
    )
    add(march(7, 7, 40), Moved(_through(39, 42), UPPER), "TO")
    add(march(7, 7, 45), Moved(_through(61, 64), LOWER), "TO")
    add(march(7, 8, 40), Lifted(_through(65, 74), LOWER), "TO")
    add(march(7, 11, 0), Ended((7,), Ending.CUT, "for the counter"))
    add(
        march(7, 14, 30),
        Made(
            _through(77, 80), "blue", Method.DRY, 2200.0, TRAY, made_at=march(5, 15), lot="B-0305"
        ),
    )
    add(march(7, 14, 35), Salted(_through(77, 80), 66.0))
    add(march(7, 16, 40), Lifted(_through(75, 76), LOWER))
    add(
        march(8, 10, 50),
        Made(
            _through(81, 86), "gouda", Method.BRINE, 2500.0, TUB, made_at=march(7, 14), lot="G-0307"
        ),
    )
    add(march(8, 10, 55), Salted(_through(81, 86), 20.0))
    add(march(8, 14, 30), Turned(_through(77, 80)))
    add(march(8, 14, 35), Salted(_through(77, 80), 66.0))
