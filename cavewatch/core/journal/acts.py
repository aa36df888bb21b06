"""What a maker does, as acts: frozen values that know nothing of how they are kept."""

from dataclasses import dataclass

from cavewatch.core.journal.choices import (
    Against,
    BrineWork,
    Clarity,
    Ending,
    Sample,
    Treatment,
    Wash,
)
from cavewatch.core.shape import Shape
from cavewatch.core.style import Method


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
    made_ago: bool = False
    """True for a `made_at` that was told as so long ago: it moves with an entry that was written
    before the machine's clock was set. What was typed by the clock on the wall stays."""
    renneted_ago: bool = False
    """Likewise for `renneted_at`."""
    moulded_ago: bool = False
    """Likewise for `moulded_at`."""


@dataclass(frozen=True, slots=True)
class Milk:
    """The milk of a make and what was put into it, named by its wheels, or by its lot before
    there are any."""

    treatment: Treatment
    wheels: tuple[int, ...] = ()
    lot: str = ""
    """The maker's label for the make, as in `Made`; counts where no wheels are named."""
    source: str = ""
    """Where it came from: farm, herd, milking."""
    litres: float | None = None
    """[L]"""
    heat: str = ""
    """How it was heated, in the maker's words: '63 degC, 30 min'."""
    cultures: str = ""
    """In the maker's words, with amounts."""
    rennet: str = ""
    """Likewise."""


@dataclass(frozen=True, slots=True)
class Acidity:
    """A pH measured on the way from milk to cheese."""

    ph: float
    """[-]"""
    where: Sample
    wheels: tuple[int, ...] = ()
    lot: str = ""
    """As in `Milk`."""


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
class Corrected:
    """What was done about an alarm: it is for the last one of this key that had begun by then.

    It changes no alarm's state: one that is still abnormal stands on.
    """

    alarm: str
    """Key of the alarm."""
    product: str
    """What was done with the product, 'nothing' with a reason included."""
    cause: str = ""
    """What was done about the cause."""


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
    | Milk
    | Acidity
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
    | Corrected
    | SensorChecked
    | Testing
    | Voided
)


def wheels_of(act: Act) -> tuple[int, ...]:
    """The wheels an act names; empty if it is about something else."""
    return getattr(act, "wheels", ())
