"""What a maker chooses from when an act is entered; the values are those of its plain form."""

from enum import StrEnum


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


class Treatment(StrEnum):
    """What was done to milk before it was made into cheese."""

    RAW = "raw"
    HEATED = "heat-treated"
    """Warmed, but less than pasteurised."""
    PASTEURISED = "pasteurised"
    """As the rule says that the maker works under, such as 21 CFR 133.3(d)."""


class Sample(StrEnum):
    """What a pH was measured in."""

    MILK = "milk"
    CURD = "curd"
    WHEY = "whey"
    CHEESE = "cheese"


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
