"""The journal: what the maker did, as entries that are only ever appended.

A mistake is corrected by a new entry that names the old one (`Voided`); the
old one stays. Every act has a plain form (`to_plain`, `from_plain`) made of
JSON types, used alike by the store, by journal files and in the record.
"""

import dataclasses
import types
import typing
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from cavewatch.core.errors import CavewatchError
from cavewatch.core.shape import Cuboid, Cylinder, Form, Shape, Sphere
from cavewatch.core.style import Method


class JournalError(CavewatchError):
    """An entry that cannot be read or does not fit what is known."""


class Ending(StrEnum):
    """How a wheel left the dairy."""

    SOLD = "sold"
    CUT = "cut"
    DISCARDED = "discarded"


class Wash(StrEnum):
    """What was done to a rind; the values are those of the actions asked for."""

    WASH = "wash"
    """With salt water or smear, by hand or brush."""
    RUB = "rub"
    """With a cloth, salt or brine."""
    BRUSH = "brush"
    WIPE = "wipe"
    OIL = "oil"
    SCRAPE = "scrape"


class Clarity(StrEnum):
    """What a brine looks like."""

    CLEAR = "clear"
    CLOUDY = "cloudy"
    SLIMY = "slimy"


class Against(StrEnum):
    """What a sensor is held against."""

    TABLE_SALT = "table salt"
    """Air over wet sodium chloride in a closed jar."""
    POTASSIUM_CHLORIDE = "potassium chloride"
    """Likewise."""
    ICE = "ice"
    """Crushed ice and water."""


class BrineWork(StrEnum):
    """What a maker does to a tub."""

    MIXED = "mixed"
    """Filled with fresh brine: a new life begins."""
    RESTORED = "restored"
    """Salt, water, calcium or acid put back."""
    FILTERED = "filtered"
    HEATED = "heated"
    CLEANED = "cleaned"
    """The tub itself, its brine kept aside meanwhile."""
    DRAWN_OFF = "drawn off"
    SKIMMED = "skimmed"


@dataclass(frozen=True, slots=True)
class Made:
    """New wheels: one make, one entry, whatever their number and wherever they stand."""

    wheels: tuple[int, ...]
    """Their numbers, unique in the dairy."""
    style: str
    """Style id."""
    method: Method
    """How they are salted."""
    weight: float
    """Weight of one wheel [g]."""
    place: str
    """Where they were put at the entry's time."""
    shape: Shape | None = None
    """Measured size; None for the style's usual proportions."""
    salting_done: bool = False
    """True for wheels whose salting was over before this entry."""
    made_at: float | None = None
    """When the milk was made into cheese [s since 1970 UTC]; None: the entry's time."""
    floats: bool = True
    """In brine: the wheel floats with one face out, rather than being held under."""
    lot: str = ""
    """The maker's own label for the make."""
    temperature: float | None = None
    """The wheels' own when they went to salt [degC]; None: as the place."""
    renneted_at: float | None = None
    """[s since 1970 UTC]; None: as `made_at`."""
    moulded_at: float | None = None
    """[s since 1970 UTC]; None: as `made_at`."""


@dataclass(frozen=True, slots=True)
class Turned:
    """Wheels turned over."""

    wheels: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Washed:
    """Rinds tended."""

    wheels: tuple[int, ...]
    how: Wash


@dataclass(frozen=True, slots=True)
class Salted:
    """Dry salt put on: on the face that stands out of the brine, or as a coat."""

    wheels: tuple[int, ...]
    grams: float
    """On each wheel [g]."""


@dataclass(frozen=True, slots=True)
class Lifted:
    """Wheels taken out of the brine or off the salting tray: their salting is over."""

    wheels: tuple[int, ...]
    place: str | None = None
    """Where they went; None: still there, wiped and resting."""


@dataclass(frozen=True, slots=True)
class Moved:
    """Wheels moved to another place, their salting going on as the place allows."""

    wheels: tuple[int, ...]
    place: str


@dataclass(frozen=True, slots=True)
class Ended:
    """Wheels that left the dairy."""

    wheels: tuple[int, ...]
    how: Ending
    why: str = ""


@dataclass(frozen=True, slots=True)
class Assayed:
    """Salt found in wheels by an assay of their paste, of several together if they are named."""

    wheels: tuple[int, ...]
    salt: float
    """[% of the cheese as it was then]"""
    error: float
    """Standard deviation of the assay [% of the cheese]."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """What each of these wheels weighed."""

    wheels: tuple[int, ...]
    grams: float
    """[g]"""


@dataclass(frozen=True, slots=True)
class BrineMeasured:
    """A test of a tub's brine; None for what was not looked at."""

    place: str
    strength: float | None = None
    """[% w/w]"""
    ph: float | None = None
    """[-]"""
    calcium: float | None = None
    """Calcium chloride in the brine [% w/w]."""
    temperature: float | None = None
    """Of the brine [degC]."""
    clarity: Clarity | None = None
    litres: float | None = None
    """Brine in the tub [L]."""


@dataclass(frozen=True, slots=True)
class Tended:
    """Work done on a tub, with what went in and out."""

    place: str
    work: BrineWork
    salt: float = 0.0
    """Put in [g]."""
    water: float = 0.0
    """Put in [g]."""
    drawn_off: float = 0.0
    """Brine taken out before anything was put in [g]."""
    calcium: float = 0.0
    """Calcium chloride put in, as the product weighs [g]."""
    litres: float | None = None
    """For MIXED: the finished brine [L]; None if salt and water tell, or for the config's."""
    strength: float | None = None
    """For MIXED: the finished brine's [% w/w]; None likewise."""


@dataclass(frozen=True, slots=True)
class Noted:
    """Free text."""

    text: str
    wheels: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Acknowledged:
    """A standing alarm was seen."""

    alarm: str
    """Key of the alarm."""


@dataclass(frozen=True, slots=True)
class SensorChecked:
    """A sensor was held against something known; it is corrected from then on."""

    channel: str
    """Name of the channel."""
    against: Against
    shown: float
    """What it showed, without the correction of an earlier check [degC or %]."""
    offset: float
    """What is to be added to that [K or %]."""
    error: float
    """Standard deviation of the offset [K or %]."""
    fit: bool
    """False for a sensor that is too far off to be corrected."""
    temperature: float | None = None
    """Of the jar [degC]."""


@dataclass(frozen=True, slots=True)
class Testing:
    """The maker has a sensor in hand: what it says is not the place's; a later one overrules it."""

    channel: str
    """Name of the channel."""
    until: float
    """When it ends by itself [s since 1970 UTC]."""


@dataclass(frozen=True, slots=True)
class Shelved:
    """An alarm set aside until a time, at which it comes back by itself."""

    alarm: str
    """Key of the alarm."""
    until: float
    """[s since 1970 UTC]"""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Unshelved:
    """A shelved alarm taken back before its time."""

    alarm: str


@dataclass(frozen=True, slots=True)
class OutOfService:
    """An alarm taken out of service until it is put back."""

    alarm: str
    why: str


@dataclass(frozen=True, slots=True)
class BackInService:
    """An alarm that was out of service counts again."""

    alarm: str


@dataclass(frozen=True, slots=True)
class Reset:
    """An alarm that is held after its cause went, let go."""

    alarm: str


@dataclass(frozen=True, slots=True)
class Suppressed:
    """The alarms of a place's air or brine do not count until a time: its door is open, say.

    A later one for the same place replaces it; one that ends at once ends it.
    """

    place: str
    until: float
    """[s since 1970 UTC]"""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Voided:
    """An earlier entry was a mistake and does not count."""

    entry: int
    """Its number."""
    why: str = ""


Answer = Acknowledged | Shelved | Unshelved | OutOfService | BackInService | Reset | Suppressed
"""What a maker does about alarms."""

Act = (
    Made
    | Turned
    | Washed
    | Salted
    | Lifted
    | Moved
    | Ended
    | Assayed
    | Weighed
    | BrineMeasured
    | Tended
    | Noted
    | Answer
    | SensorChecked
    | Testing
    | Voided
)

KINDS: dict[str, type[Act]] = {
    "made": Made,
    "turned": Turned,
    "washed": Washed,
    "salted": Salted,
    "lifted": Lifted,
    "moved": Moved,
    "ended": Ended,
    "assayed": Assayed,
    "weighed": Weighed,
    "brine": BrineMeasured,
    "tended": Tended,
    "note": Noted,
    "acknowledged": Acknowledged,
    "shelved": Shelved,
    "unshelved": Unshelved,
    "out of service": OutOfService,
    "back in service": BackInService,
    "reset": Reset,
    "suppressed": Suppressed,
    "sensor checked": SensorChecked,
    "testing": Testing,
    "voided": Voided,
}
"""Act by the name that stands for it in the store and in files."""

_NAMES = {act: name for name, act in KINDS.items()}
_FORMS: dict[Form, type[Shape]] = {
    Form.WHEEL: Cylinder,
    Form.BLOCK: Cuboid,
    Form.BALL: Sphere,
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the journal."""

    id: int
    """Number, rising in the order of writing."""
    at: float
    """When it happened [s since 1970 UTC]; a person may have typed it."""
    written: float
    """When it was written [s since 1970 UTC]."""
    by: str
    """Initials."""
    act: Act
    """What happened."""


def kind_of(act: Act) -> str:
    """The name of the act's kind, as in KINDS."""
    return _NAMES[type(act)]


def wheels_of(act: Act) -> tuple[int, ...]:
    """The wheels an act names; empty if it is about something else."""
    return getattr(act, "wheels", ())


def to_plain(act: Act) -> dict[str, Any]:
    """The act as JSON types, `kind` first; fields at their default are left out."""
    plain: dict[str, Any] = {"kind": kind_of(act)}
    for field in dataclasses.fields(act):
        value = getattr(act, field.name)
        if value == field.default:
            continue
        if isinstance(value, Cylinder | Cuboid | Sphere):
            form = next(form for form, shape in _FORMS.items() if isinstance(value, shape))
            value = {"form": form.value, **dataclasses.asdict(value)}
        elif isinstance(value, tuple):
            value = list(value)
        elif isinstance(value, StrEnum):
            value = value.value
        plain[field.name] = value
    return plain


def from_plain(plain: Any) -> Act:
    """The act that `to_plain` gave.

    Raises:
        JournalError: naming the key at fault, for anything else.
    """
    if not isinstance(plain, dict):
        raise JournalError("an entry must be an object with a 'kind'")
    kind = plain.get("kind")
    if kind not in KINDS:
        raise JournalError(f"'kind' is {kind!r}; it must be one of {', '.join(KINDS)}")
    cls = KINDS[kind]
    hints = typing.get_type_hints(cls)
    values: dict[str, Any] = {}
    for field in dataclasses.fields(cls):
        if field.name in plain:
            values[field.name] = _parsed(
                f"{kind}: '{field.name}'", plain[field.name], hints[field.name]
            )
        elif field.default is dataclasses.MISSING:
            raise JournalError(f"{kind}: '{field.name}' is missing")
    for key in plain:
        if key != "kind" and key not in hints:
            raise JournalError(f"{kind}: '{key}' is not known; it may have {', '.join(hints)}")
    return cls(**values)


def _parsed(where: str, value: Any, hint: Any) -> Any:
    """Check a JSON value against a field's type and turn it into that type."""
    if isinstance(hint, types.UnionType):
        parts = typing.get_args(hint)
        if types.NoneType in parts and value is None:
            return None
        if Cylinder in parts:
            return _shape(where, value)
        hint = next(part for part in parts if part is not types.NoneType)
    if hint is float:
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e12:
            return float(value)
        raise JournalError(f"{where} is {value!r}; it must be a number")
    if typing.get_origin(hint) is tuple:
        if isinstance(value, list) and all(type(item) is int for item in value):
            return tuple(value)
        raise JournalError(f"{where} is {value!r}; it must be a list of wheel numbers")
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        if value in tuple(hint):
            return hint(value)
        raise JournalError(f"{where} is {value!r}; it must be one of {', '.join(hint)}")
    if type(value) is not hint:
        names = {int: "a whole number", str: "text", bool: "true or false"}
        raise JournalError(f"{where} is {value!r}; it must be {names[hint]}")
    return value


def _shape(where: str, value: Any) -> Shape:
    if not isinstance(value, dict) or value.get("form") not in tuple(Form):
        raise JournalError(f"{where} needs a 'form', one of {', '.join(Form)}")
    cls = _FORMS[Form(value["form"])]
    names = [field.name for field in dataclasses.fields(cls)]
    if set(value) != {"form", *names}:
        raise JournalError(f"{where} needs {', '.join(names)} in cm")
    sizes = {name: _parsed(f"{where} {name}", value[name], float) for name in names}
    if min(sizes.values()) <= 0:
        raise JournalError(f"{where} has a size that is not above 0 cm")
    return cls(**sizes)


def standing(entries: typing.Iterable[Entry]) -> list[Entry]:
    """The entries that count, by the time of what happened: voided ones and `Voided` left out.

    A `Voided` entry may itself be voided by a later one, which brings the first back.
    """
    written = sorted(entries, key=lambda entry: entry.id)
    void: set[int] = set()
    for entry in reversed(written):
        if entry.id not in void and isinstance(entry.act, Voided):
            void.add(entry.act.entry)
    kept = [e for e in written if e.id not in void and not isinstance(e.act, Voided)]
    return sorted(kept, key=lambda entry: (entry.at, entry.id))
