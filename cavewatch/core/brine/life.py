"""The life of a tub's brine, folded from the journal: what it is now, and what went through it.

From the last test on, the strength is carried forward by a mass balance: salt
that lifted wheels took, water that they gave, and what the maker put in and
drew off. Wheels still in the tub count when they are lifted; until then what the recorder
works out for them stands in (`TubLife.by`).
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Self, TypeVar

from cavewatch.core import journal
from cavewatch.core.brine.balance import Balance, Event
from cavewatch.core.brine.capacity import capacity
from cavewatch.core.brine.course import Acts, acts_on, taken
from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.brine.taken import taking_at
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import BrineMeasured, BrineWork, Clarity, Entry, Tended
from cavewatch.core.place import Place
from cavewatch.core.style import Style
from cavewatch.core.wheel import Standing, Wheel

MORE_CALCIUM = "calcium chloride was put in since it was tested, so how much is in it is not known"
UNTESTED = "its strength is not on record, so it starts from the config's"

_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class TubLife:
    """One tub's brine at one moment; what is not known is None, times are s since 1970 UTC."""

    since: float | None
    """When it was mixed; None: before the journal."""
    strength: Span
    """Predicted [% w/w]."""
    strengths: tuple[tuple[float, float], ...]
    """What countdowns go by: time and strength [% w/w] as measured, mixed or restored, those
    of earlier brines too. The first holds before."""
    measured: tuple[tuple[float, float], ...]
    """Tests of this brine's strength: time and strength [% w/w]."""
    tub: Tub | None
    """Its mass balance as expected now; None while its volume is not known."""
    when_lifted: Tub | None
    """The same once all that is in it has what its style aims at, counted in full."""
    litres: float | None
    """Expected now [L]."""
    passed_kg: float
    """Cheese lifted out of it [kg]."""
    in_now_kg: float
    """Cheese in it now [kg]."""
    lifted_at: float | None
    """When cheese was last lifted out of it."""
    strength_at: float | None
    """When its strength was last tested."""
    ph: float | None
    """As tested last."""
    ph_at: float | None
    calcium: float | None
    """Calcium chloride as tested last [% w/w]; None also if some was put in since."""
    calcium_at: float | None
    clarity: Clarity | None
    """As seen last."""
    clarity_at: float | None
    filtered_at: float | None
    heated_at: float | None
    cleaned_at: float | None
    """When the tub itself was cleaned."""
    skimmed_at: float | None
    remarks: tuple[str, ...]
    """What limits the prediction, in words."""

    def by(self, predicted: Predicted | None) -> Self:
        """The same with the brine that wheels now in it lead to, if that has been worked out.

        What was worked out before its strength was last told, or before the last wheel
        came out, no longer counts.
        """
        told = self.strengths[-1][0]
        if predicted is None or self.tub is None or not self.in_now_kg or predicted.at < told:
            return self
        return replace(
            self,
            strength=predicted.strength,
            tub=predicted.tub,
            when_lifted=predicted.when_lifted,
        )

    def room(self, style: Style) -> Span | None:
        """Cheese of a style that can go in beside what is in it [kg].

        With more, the brine gets weaker than the style wants. None where it cannot be told.
        """
        if self.when_lifted is None or style.brine is None:
            return None
        given = water_per_salt(self.when_lifted.strength)
        return capacity(self.when_lifted, style.brine.strength.low, style.salt.value, given)


def life(place: Place, entries: Iterable[Entry], wheels: Mapping[int, Wheel], at: float) -> TubLife:
    """The life of a tub's brine as the journal has it at a time [s since 1970 UTC].

    Args:
        place: a tub.
        entries: the journal.
        wheels: every wheel as the journal has it at that time, ended ones included.
        at: that time.

    Raises:
        CavewatchError: for a place without brine.
    """
    if place.brine is None:
        raise CavewatchError(f"{place.name} is no tub, so it has no brine")
    kept = [entry for entry in journal.standing(entries) if entry.at <= at]
    gone = {n: e.at for e in kept if isinstance(e.act, journal.Ended) for n in e.act.wheels}
    acts = acts_on(place.name, kept)
    passed = taken(place.name, wheels, gone, acts, at)
    balance = Balance.of(place.brine)
    # Sorting is stable: what was taken until an act comes before it.
    events: list[tuple[float, Event]] = [*((taking.at, taking) for taking in passed), *acts]
    for when, event in sorted(events, key=lambda each: each[0]):
        balance = balance.then(when, event)
    inside = [w for w in wheels.values() if _is_in(w, place.name)]
    ahead = balance
    for wheel in inside:
        ahead = ahead.then(at, taking_at(wheel, at))

    mixed = max((i for i, (_, act) in enumerate(acts) if _work(act) is BrineWork.MIXED), default=-1)
    since = acts[mixed][0] if mixed >= 0 else None
    own = acts[mixed + 1 :]
    lifts = [each for each in passed if each.lifted and (since is None or each.at > since)]
    measured = tuple(_tests(own, lambda act: act.strength))
    strength_at, _ = _newest(own, lambda act: act.strength)
    ph_at, ph = _newest(own, lambda act: act.ph)
    tested = _tests(own, lambda act: act.calcium)
    added = max((i for i, (_, act) in enumerate(own) if _adds_calcium(act)), default=-1)
    calcium_at, calcium = _newest(own[added + 1 :], lambda act: act.calcium)
    clarity_at, clarity = _newest(own, lambda act: act.clarity)
    works = {_work(act): when for when, act in own}
    untested = UNTESTED if since is None and not measured else ""
    more_calcium = MORE_CALCIUM if tested and calcium is None else ""
    return TubLife(
        since=since,
        strength=balance.strength,
        strengths=balance.strengths,
        measured=measured,
        tub=balance.tub,
        when_lifted=ahead.tub,
        litres=balance.litres,
        passed_kg=sum(each.wheel.weight for each in lifts) / 1000.0,
        in_now_kg=sum(wheel.weight for wheel in inside) / 1000.0,
        lifted_at=max((each.at for each in lifts), default=None),
        strength_at=strength_at,
        ph=ph,
        ph_at=ph_at,
        calcium=calcium,
        calcium_at=calcium_at,
        clarity=clarity,
        clarity_at=clarity_at,
        filtered_at=works.get(BrineWork.FILTERED),
        heated_at=works.get(BrineWork.HEATED),
        cleaned_at=works.get(BrineWork.CLEANED),
        skimmed_at=works.get(BrineWork.SKIMMED),
        remarks=tuple(remark for remark in (untested, balance.remark, more_calcium) if remark),
    )


def _is_in(wheel: Wheel, place: str) -> bool:
    return wheel.place == place and wheel.standing is Standing.IN_BRINE


def _work(act: BrineMeasured | Tended) -> BrineWork | None:
    return act.work if isinstance(act, Tended) else None


def _adds_calcium(act: BrineMeasured | Tended) -> bool:
    return isinstance(act, Tended) and act.calcium > 0.0


def _tests(
    acts: Acts, value: Callable[[BrineMeasured], _Value | None]
) -> list[tuple[float, _Value]]:
    """When and what was found of one thing that is tested."""
    return [
        (at, found)
        for at, act in acts
        if isinstance(act, BrineMeasured) and (found := value(act)) is not None
    ]


def _newest(
    acts: Acts, value: Callable[[BrineMeasured], _Value | None]
) -> tuple[float | None, _Value | None]:
    tests = _tests(acts, value)
    return tests[-1] if tests else (None, None)
