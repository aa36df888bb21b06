"""Keeping a brine: what is to be tested and looked at, and what speaks for treating or renewing it.

Advice with its source, never a verdict on whether cheese is safe.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from cavewatch.core.brine.life import TubLife
from cavewatch.core.journal import Clarity

DAY = 86400.0

STRENGTH_EVERY = 7.0
"""While cheese goes through, and before each batch [day]. Common practice, no source."""
PH_EVERY = 30.0
"""[day] Judgement: pH moves slowly in a tub that is in use."""
WEAK = 16.0
"""Under this, microbes give more trouble [% w/w]. Source: Wisconsin Center for Dairy Research,
in Dairy Foods magazine."""
SOUR, MILD = 4.5, 6.0
"""pH outside of this is unlike working brines [-]. Source: brines of five small dairies, 4.54 to
6.01 (Journal of Dairy Research 2014, abstract); judgement: that unlike calls for a look."""
POOR = 0.05
"""Under this, rinds may go soft [% CaCl2]. Judgement: half of the 0.1 % that the University of
Guelph's salting page asks of new brine."""
WORN = 10.0
"""Cheese through each litre at which whey has built up [kg/L]; judgement, nothing read."""
UNTREATED = 180.0
"""Longest without filtering or heating [day]; judgement, nothing read."""


@dataclass(frozen=True, slots=True)
class Due:
    """One test or look that a tub is due for."""

    what: str
    """As an instruction."""
    at: float
    """When it falls due, perhaps in the past [s since 1970 UTC]."""
    source: str
    advice: bool = False
    """To be suggested but not called late: never done here so far, or for a batch to come."""


def tests_due(life: TubLife, at: float, in_use: bool) -> tuple[Due, ...]:
    """The next tests and looks, soonest first; those with `at` in the past are due now.

    Args:
        life: of the tub's brine.
        at: now [s since 1970 UTC].
        in_use: whether cheese is in it.
    """
    return tuple(sorted(_tests(life, at, in_use), key=lambda due: due.at))


def _tests(life: TubLife, at: float, in_use: bool) -> Iterator[Due]:
    practice = "common practice, no source"
    lifted = life.lifted_at
    known = max((t for t in (life.strength_at, life.since) if t is not None), default=None)
    if in_use:
        due = at if known is None else known + STRENGTH_EVERY * DAY
        yield Due("measure the strength", due, practice, advice=known is None)
    elif known is None or (lifted is not None and known < lifted):
        before = "measure the strength before the next batch"
        yield Due(before, at, practice, advice=True)
    due = at if life.ph_at is None else life.ph_at + PH_EVERY * DAY
    yield Due("measure the pH", due, "judgement", advice=life.ph_at is None)
    if lifted is None:
        return
    if life.clarity_at is None or life.clarity_at < lifted:
        yield Due("look whether it is clear", lifted, practice, advice=life.clarity_at is None)
    if life.skimmed_at is None or life.skimmed_at < lifted:
        yield Due("skim it", lifted, practice, advice=life.skimmed_at is None)


def renew(life: TubLife, at: float) -> tuple[str, ...]:
    """What speaks for treating or renewing the brine at `at` [s since 1970 UTC], worst first.

    One clause each, with its source; empty if nothing on record does.
    """
    return tuple(_reasons(life, at))


def _reasons(life: TubLife, at: float) -> Iterator[str]:
    if life.clarity is Clarity.SLIMY:
        yield "it is slimy: mix fresh brine and clean the tub (judgement)"
    if life.clarity is Clarity.CLOUDY:
        yield "it is cloudy: filter it, or heat it and let it settle (common practice, no source)"
    if life.strength.expected < WEAK:
        yield (
            f"it is under {WEAK:g} %, where microbes give more trouble: restore it "
            "(Wisconsin Center for Dairy Research, in Dairy Foods)"
        )
    if life.ph is not None and not SOUR <= life.ph <= MILD:
        yield (
            f"its pH of {life.ph:.1f} is unlike working brines, {SOUR:g} to {MILD:g} "
            "(five small dairies, Journal of Dairy Research 2014): bring it near the cheese's own"
        )
    if life.calcium is not None and life.calcium < POOR:
        yield (
            f"its calcium chloride is under {POOR:g} %, and rinds may go soft: add some "
            "(University of Guelph, salting page; judgement: the bound)"
        )
    if life.litres and life.passed_kg / life.litres > WORN:
        yield (
            f"more than {WORN:g} kg of cheese went through each litre: filter and heat it, "
            "or mix fresh (judgement)"
        )
    treated = [t for t in (life.since, life.filtered_at, life.heated_at) if t is not None]
    if treated and life.passed_kg and at - max(treated) > UNTREATED * DAY:
        yield (f"it was neither filtered nor heated for {UNTREATED:g} days (judgement): do either")
