"""Doses of dry salt: how much in all, how it is split over the coats, and over the faces."""

from dataclasses import replace

from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.coated import USUAL_GAP
from cavewatch.core.salting.guesses import dry_plan
from cavewatch.core.shape import Shape, Sphere
from cavewatch.core.style import DryPlan, Figure


def dosed(asked: Asked, body: Body) -> DryPlan:
    """How the wheels that are asked for are coated.

    The style book's dose holds unless a target, or the part that stays, was stated; then
    it is the salt that is wanted over the part that stays.

    Args:
        asked: for dry salt.
        body: of one wheel.
    """
    usual = dry_plan(asked.style)
    dose, kept = usual.dose, usual.retention
    if asked.retention is not None:
        kept = Figure(asked.retention, asked.retention, asked.retention, "stated")
    if asked.target is not None or asked.retention is not None:
        wanted = 100.0 * body.salt(asked.aim().level(body)) / body.weight
        dose = Figure(
            wanted / kept.value, wanted / kept.high, wanted / kept.low, "the target over what stays"
        )
    return replace(usual, dose=dose, retention=kept, hours=_hours(usual.hours, asked.coats))


def _hours(usual: tuple[float, ...], coats: int | None) -> tuple[float, ...]:
    """The style's hours, or as many as are asked for, as far apart as its last two."""
    if coats is None:
        return usual
    gap = usual[-1] - usual[-2] if len(usual) > 1 else USUAL_GAP
    added = (usual[-1] + gap * (n + 1) for n in range(coats - len(usual)))
    return (*usual[:coats], *added)


def shares(coats: int, front_loaded: bool) -> tuple[float, ...]:
    """Part of the dose that each coat gets: alike, or as 3, 2 and 1 of six for three coats."""
    weights = range(coats, 0, -1) if front_loaded else [1] * coats
    return tuple(weight / sum(weights) for weight in weights)


def on_faces(shape: Shape, grams: float) -> tuple[float, float]:
    """A coat by area: on each flat face, and on the whole side; a ball has only its side [g]."""
    if isinstance(shape, Sphere):
        return 0.0, grams
    flat = grams * shape.face / shape.area
    return flat, grams - 2 * flat
