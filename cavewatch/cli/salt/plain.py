"""Plans as JSON types: units in the names, every input beside what came of it."""

from typing import Any

from cavewatch import clock
from cavewatch.cli.brine.wording import plain_span
from cavewatch.cli.salt.timetable import Scheduled
from cavewatch.cli.salt.typed import UNNAMED
from cavewatch.core.countdown import Action, Span
from cavewatch.core.salting.activity import MOIST
from cavewatch.core.salting.asked import HOUR, Asked
from cavewatch.core.salting.crossing import HORIZON
from cavewatch.core.salting.milled import Milled, MilledAsked
from cavewatch.core.salting.planning import Planned
from cavewatch.core.salting.remarks import remarks
from cavewatch.core.salting.target import Basis, Target
from cavewatch.core.salting.teaspoons import Grain
from cavewatch.core.shape import Cuboid, Cylinder, Shape
from cavewatch.core.style import Figure, Method, Style

NO_PROOF = "water activity is information, and no proof that a cheese is safe"


def plain(planned: Planned, grain: Grain, timetable: Scheduled | None = None) -> dict[str, Any]:
    """A wheel in brine or in dry salt."""
    floating = planned.floating
    doses = [
        step.grams
        for step in planned.steps
        if step.action is Action.SALT_FACE and step.grams is not None
    ]
    found: dict[str, Any] = {
        "inputs": _inputs(planned, grain, timetable.best.asked if timetable else planned.asked),
        "reached": planned.reached,
        "lift_after_hours": _hours(planned.lift),
        "turn_after_hours": [
            _hours(step.at) for step in planned.steps if step.action is Action.TURN
        ],
        "face_salt_grams": [plain_span(grams) for grams in doses],
        "face_salt_teaspoons": [_teaspoons(grams, grain) for grams in doses],
        "steps": [
            {
                "action": step.action.value,
                "after_hours": _hours(step.at),
                "salt_grams": None if step.grams is None else plain_span(step.grams),
                "salt_teaspoons": None if step.grams is None else _teaspoons(step.grams, grain),
            }
            for step in planned.steps
        ],
        "salt_percent": plain_span(planned.salt_percent),
        "salt_in_moisture_percent": plain_span(planned.salt_in_moisture),
        "salt_taken_grams": plain_span(planned.salt),
        "water_out_grams": plain_span(planned.water_out),
        "weight_after_grams": plain_span(planned.weight_after),
        "moisture_after_percent": plain_span(planned.moisture_after),
        "brine_after_percent": _maybe(planned.brine_after),
        "uptake_fraction": plain_span(planned.uptake),
        "even_after_days": plain_span(planned.even_after),
        "evening_temperature_celsius": planned.cave,
        "water_activity": plain_span(planned.water_activity),
        "water_activity_note": f"{NO_PROOF}; holds above about {MOIST:g} % moisture",
        "dry_salt_grams": _maybe(planned.put_on),
        "paste_density_g_per_cm3": None if floating is None else floating.paste,
        "brine_density_g_per_cm3": None if floating is None else floating.brine,
        "above_brine_cm": floating.above if floating and planned.afloat else None,
        "surface_above_brine_fraction": floating.dry if floating and planned.afloat else None,
        "cautions": [*(timetable.remarks if timetable else ()), *remarks(planned)],
    }
    if timetable is not None:
        out_by = timetable.times.out_by
        found["timetable"] = {
            "zone": str(timetable.zone),
            "awake": _hours_awake(timetable),
            "out_by": None if out_by is None else clock.iso(out_by, timetable.zone),
            "in_at": timetable.iso(0.0),
            "steps": [
                {"action": step.action.value, "at": timetable.iso(step.at.expected)}
                for step in planned.steps
            ],
        }
    return found


def _hours_awake(timetable: Scheduled) -> str | None:
    """'06:00-22:00'; None for always."""
    if timetable.times.awake is None:
        return None
    return "-".join(f"{at // HOUR:02.0f}:{at % HOUR // 60.0:02.0f}" for at in timetable.times.awake)


def plain_milled(asked: MilledAsked, made: Milled, grain: Grain) -> dict[str, Any]:
    """Curd that is salted as it is milled."""
    return {
        "inputs": {
            "style": _style(asked.style),
            "method": Method.MILLED.value,
            "curd_grams": asked.curd,
            "moisture_percent": made.moisture,
            **_target(made.target),
            "retention_fraction": asked.retention,
            "applications": asked.applications,
            "salt_grain": grain.name,
        },
        "salt_grams": made.dose,
        "salt_teaspoons": grain.teaspoons(made.dose),
        "applications_grams": list(made.applications),
        "drains_fraction": plain_span(made.drains),
        "drained_grams": plain_span(made.drained),
        "cheese_grams": plain_span(made.cheese),
        "salt_percent": plain_span(made.salt_percent),
        "salt_in_moisture_percent": plain_span(made.salt_in_moisture),
    }


def _inputs(planned: Planned, grain: Grain, wanted: Asked) -> dict[str, Any]:
    asked, brine = planned.asked, planned.floating is not None
    own = asked.diffusivity
    found = {
        "style": _style(asked.style),
        "method": asked.method.value,
        "weight_grams": asked.weight,
        **_size(asked.shape),
        "moisture_percent": asked.style.moisture.value,
        "temperature_celsius": asked.temperature,
        "wheel_temperature_celsius": asked.wheel_temperature,
        **_aim(wanted),
        "diffusivity_cm2_per_day": own,
        "diffusivity_at_12_celsius_cm2_per_day": _figure(planned.diffusivity),
        "partition": asked.partition,
        "rate_factor": {
            "low": planned.rate.low,
            "expected": planned.rate.value,
            "high": planned.rate.high,
        },
        "rate_learned_from_wheels": planned.rate.wheels,
        "salt_grain": grain.name,
    }
    if brine:
        return found | {
            "brine_percent": asked.strength,
            "tub_litres": asked.litres,
            "wheels": asked.wheels,
            "floating": asked.floats,
            "bare_top": asked.bare_top,
        }
    return found | {
        "coats": sum(step.action is Action.COAT for step in planned.steps),
        "front_loaded": asked.front_loaded,
        "retention_fraction": _figure(planned.retention) if planned.retention else None,
    }


def _aim(asked: Asked) -> dict[str, float | None]:
    return {
        "for_hours": None if asked.hold is None else asked.hold / HOUR,
        **_target(asked.target if asked.hold is not None else asked.aim()),
    }


def _target(target: Target | None) -> dict[str, float | None]:
    of = {basis: target.value if target and target.basis is basis else None for basis in Basis}
    return {
        "target_salt_percent": of[Basis.CHEESE],
        "target_salt_in_moisture_percent": of[Basis.MOISTURE],
    }


def _size(shape: Shape) -> dict[str, Any]:
    if isinstance(shape, Cylinder):
        return {"form": "wheel", "diameter_cm": shape.diameter, "height_cm": shape.height}
    if isinstance(shape, Cuboid):
        sizes = {"length_cm": shape.length, "width_cm": shape.width, "height_cm": shape.height}
        return {"form": "block", **sizes}
    return {"form": "ball", "diameter_cm": shape.diameter}


def _style(style: Style) -> str | None:
    return None if style.id == UNNAMED else style.id


def _figure(figure: Figure) -> dict[str, float]:
    return {"low": figure.low, "expected": figure.value, "high": figure.high}


def _hours(at: Span) -> dict[str, float | None]:
    """None for what is not reached within 90 days."""
    ends = {"earliest": at.low, "expected": at.expected, "latest": at.high}
    return {name: end / HOUR if end < HORIZON else None for name, end in ends.items()}


def _teaspoons(grams: Span, grain: Grain) -> dict[str, float]:
    return {name: grain.teaspoons(value) for name, value in plain_span(grams).items()}


def _maybe(span: Span | None) -> dict[str, float] | None:
    return None if span is None else plain_span(span)
