"""The mass balance of one tub along its journal: how strong it was known to be, and is by now."""

from dataclasses import dataclass, replace
from typing import Self

from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import exchange, water_per_salt
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.brine.strength import STRONGEST, saturation
from cavewatch.core.brine.taken import Taking
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError, within
from cavewatch.core.journal import BrineMeasured, BrineWork, Tended
from cavewatch.core.place import TubBrine

NO_VOLUME = "its volume is not known, so the strength stays as it was last known"
UNDISSOLVED = "more salt was put in than dissolves; the rest lies on the bottom"
UNCOUNTED = "and does not count, since the config does not say that it is stirred"

Event = Taking | BrineMeasured | Tended
"""What moves the balance."""


@dataclass(frozen=True, slots=True)
class Balance:
    """One tub's salt and water at one moment of its journal."""

    brine: TubBrine
    """As the config states it."""
    known: float
    """Strength as last known [% w/w]."""
    strengths: tuple[tuple[float, float], ...]
    """What it was known to be from each time on [s since 1970 UTC, % w/w]."""
    guesses: tuple[Tub, ...] = ()
    """The tub if wheels took much, as expected, and little; none while it cannot be told."""
    fault: str = ""
    """Which entry cannot be, in words."""
    left_out: bool = False
    """More salt was put in than dissolves, since the strength was last told, and is not stirred."""

    @classmethod
    def of(cls, brine: TubBrine) -> Self:
        """Before the first entry."""
        return cls(brine, brine.strength, ((0.0, brine.strength),))._filled(brine.litres)

    @property
    def strength(self) -> Span:
        """By now, without what does not dissolve [% w/w]."""
        if not self.guesses:
            return Span(self.known, self.known, self.known)
        much, expected, little = (self._dissolved(tub) for tub in self.guesses)
        return Span(min(much, expected), expected, max(expected, little))

    @property
    def tub(self) -> Tub | None:
        """By now, as expected."""
        return self.guesses[1] if self.guesses else None

    @property
    def litres(self) -> float | None:
        """By now, as expected [L]."""
        if self.tub is None:
            return None
        return self.tub.mass / density(self.strength.expected, self._temperature)

    @property
    def remark(self) -> str:
        """What limits the prediction, in words; empty for nothing."""
        if self.fault or self.tub is None:
            return self.fault or NO_VOLUME
        if self.left_out:
            return f"{UNDISSOLVED}, {UNCOUNTED}"
        return UNDISSOLVED if self.tub.strength > self._most * (1.0 + 1e-9) else ""

    def then(self, at: float, event: Event) -> Self:
        """After one more event.

        A test that cannot be leaves all as it was; anything else then leaves the
        balance untold until volume and strength are known again.
        """
        try:
            match event:
                case Taking():
                    return self._took(event)
                case BrineMeasured():
                    return self._measured(at, event)
                case Tended():
                    _check(event)
                    mixed = event.work is BrineWork.MIXED
                    return self._mixed(at, event) if mixed else self._tended(at, event)
        except CavewatchError as fault:
            if isinstance(event, BrineMeasured):
                return replace(self, fault=str(fault))
            return replace(self, known=self.strength.expected, guesses=(), fault=str(fault))

    def _took(self, taking: Taking) -> Self:
        """Salt as the style aims at; what was put on the floating face came from outside."""
        aim = taking.wheel.style.salt
        cheese = taking.wheel.weight * taking.share
        after = []
        for tub, salt, end in zip(
            self.guesses, (aim.high, aim.value, aim.low), ("high", "expected", "low"), strict=False
        ):
            given = getattr(water_per_salt(self._dissolved(tub)), end)
            after.append(tub.after(exchange(cheese, salt, given), taking.face_salt))
        return replace(self, guesses=tuple(after))

    def _measured(self, at: float, act: BrineMeasured) -> Self:
        found = self if act.strength is None else self._told(at, act.strength)
        return found._filled(act.litres)

    def _mixed(self, at: float, act: Tended) -> Self:
        """Fresh brine: as stated, else as weighed in, else as in the config."""
        weighed = act.salt > 0.0 and act.water > 0.0
        mass = act.salt + act.water + act.calcium
        strength = act.strength
        if strength is None:
            strength = 100.0 * act.salt / mass if weighed else self.brine.strength
        fresh = replace(self, guesses=(), fault="")._told(at, strength)
        if weighed and act.litres is None:
            return replace(fresh, guesses=(Tub(mass, mass * strength / 100.0),) * 3)
        return fresh._filled(self.brine.litres if act.litres is None else act.litres)

    def _tended(self, at: float, act: Tended) -> Self:
        """Brine drawn off first, then salt, water and calcium chloride put in."""
        after = []
        for tub in self.guesses:
            if act.drawn_off > tub.mass:
                raise CavewatchError(
                    f"{act.drawn_off / 1000.0:.1f} kg of brine were drawn off, more than the "
                    f"{tub.mass / 1000.0:.1f} kg in it"
                )
            kept = 1.0 - act.drawn_off / tub.mass
            put_in = act.salt + act.water + act.calcium
            after.append(Tub(tub.mass * kept + put_in, tub.salt * kept + act.salt))
        found = replace(self, guesses=tuple(after))
        if after and not self.brine.stirred:
            tubs = tuple(tub.dissolved(self._most) for tub in after)
            left_out = self.left_out or tubs[1].salt < after[1].salt
            found = replace(self, guesses=tubs, left_out=left_out)
        if not after or not (act.salt or act.water):
            return found
        known = found.strength.expected
        return replace(found, known=known, strengths=(*self.strengths, (at, known)))

    def _told(self, at: float, strength: float) -> Self:
        """As strong as this from now on."""
        within("strength", strength, 0.0, STRONGEST, "% w/w")
        return replace(
            self,
            known=strength,
            left_out=False,
            strengths=(*self.strengths, (at, strength)),
            guesses=tuple(Tub(tub.mass, tub.mass * strength / 100.0) for tub in self.guesses),
        )

    def _filled(self, litres: float | None) -> Self:
        """As much as this from now on, if it is told."""
        if litres is None:
            return self
        span = self.strength
        ends = (span.low, span.expected, span.high)
        tubs = tuple(Tub.of(litres, strength, self._temperature) for strength in ends)
        return replace(self, guesses=tubs, fault="")

    def _dissolved(self, tub: Tub) -> float:
        """Its strength without what lies on the bottom [% w/w]."""
        return min(tub.strength, self._most)

    @property
    def _most(self) -> float:
        """The strongest that it can be [% w/w]."""
        return min(saturation(self._temperature), STRONGEST)

    @property
    def _temperature(self) -> float:
        """At which volumes are reckoned [degC]; a degree changes them by 0.04 %."""
        return min(max(self.brine.temperature, 0.0), 60.0)


def _check(act: Tended) -> None:
    """Raise OutOfRangeError for less than nothing, which a journal file may say."""
    for what in ("salt", "water", "calcium", "drawn_off"):
        within(what.replace("_", " "), getattr(act, what), 0.0, 1e9, "g")
