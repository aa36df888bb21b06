"""One style from its table; the bounds here keep out slips, they are no advice."""

from collections.abc import Mapping
from typing import Any

from cavewatch.core.countdown import CARE, Action
from cavewatch.core.shape import Form, Proportions
from cavewatch.core.style import (
    BrinePlan,
    Care,
    DryPlan,
    Method,
    MilledPlan,
    MinimumAge,
    Stage,
    Start,
    Style,
    Usual,
)
from cavewatch.styles.figures import figure, limits
from cavewatch.styles.sheet import Fault, Sheet, is_number

SATURATED = 26.4
"""Salt in saturated brine at room temperature [% w/w]. Source: CRC Handbook, 98th edition."""


def style(name: str, table: Mapping[str, Any], said: str | None) -> tuple[Style, list[Fault]]:
    """The style of this id and what is wrong with it; with faults, the style is not to be used.

    Args:
        name: its id.
        table: its keys, complete: nothing is filled in here.
        said: source of figures that carry none; None where each must carry its own.
    """
    faults: list[Fault] = []
    sheet = Sheet(table, (name,), faults, said)
    methods = sheet.choices("methods", Method)
    brine, dry, milled = _brine(sheet), _dry(sheet), _milled(sheet)
    made = Style(
        id=name,
        name=sheet.text("name", name),
        family=sheet.text("family", "own"),
        moisture=figure(sheet, "moisture", "% w/w", 5, 90),
        salt=figure(sheet, "salt", "% w/w", 0, 12),
        methods=methods,
        proportions=_proportions(sheet.child("proportions")),
        weight=figure(sheet, "weight", "g", 5, 500_000),
        density=figure(sheet, "density", "g/cm3", 0.8, 1.4),
        loss=figure(sheet, "loss", "%", 0, 60),
        diffusivity=figure(sheet, "diffusivity", "cm2/day", 0.001, 2),
        rate=figure(sheet, "rate", "factor", 0.01, 10),
        brine=brine if Method.BRINE in methods else None,
        dry=dry if Method.DRY in methods else None,
        milled=milled if Method.MILLED in methods else None,
        stages=_stages(sheet.child("stages")),
        ready_days=(
            None if sheet.get("ready_days") is None else figure(sheet, "ready_days", "day", 0, 5000)
        ),
        notes=sheet.texts("notes"),
        usual=None if sheet.get("usual") is None else _usual(sheet.child("usual")),
        stages_start=_start(sheet, "stages_start", Start.BRINE_OUT),
        ages=_ages(sheet.child("ages")),
    )
    sheet.close()
    return made, faults


def _brine(style: Sheet) -> BrinePlan | None:
    sheet = style.child("brine")
    strength = figure(sheet, "strength", "% w/w", 1, SATURATED)
    temperature = limits(sheet, "temperature", "degC", -5, 40)
    if temperature is None:
        sheet.note("is missing; write { low = .., high = .. } [degC]", "temperature")
    sheet.close()
    return None if temperature is None else BrinePlan(strength, temperature)


def _dry(style: Sheet) -> DryPlan:
    sheet = style.child("dry")
    plan = DryPlan(
        dose=figure(sheet, "dose", "% of the wheel's weight", 0.1, 30),
        hours=sheet.rising("hours", "h", 2400),
        retention=figure(sheet, "retention", "part", 0.05, 1),
        temperature=limits(sheet, "temperature", "degC", -5, 40),
        humidity=limits(sheet, "humidity", "%", 0, 100),
    )
    sheet.close()
    return plan


def _milled(style: Sheet) -> MilledPlan:
    sheet = style.child("milled")
    plan = MilledPlan(
        retention=figure(sheet, "retention", "part", 0.05, 1),
        cheese_per_curd=figure(sheet, "cheese_per_curd", "part", 0.5, 1),
    )
    sheet.close()
    return plan


def _usual(sheet: Sheet) -> Usual:
    usual = Usual(
        time=sheet.number("time", "h", 0.1, 2400),
        weight=sheet.number("weight", "g", 5, 500_000),
        strength=sheet.number("strength", "% w/w", 1, SATURATED),
        temperature=sheet.number("temperature", "degC", 0, 40),
    )
    sheet.close()
    return usual


def _start(sheet: Sheet, key: str, default: Start) -> Start:
    return default if sheet.get(key) is None else sheet.choice(key, Start)


def _ages(ages: Sheet) -> tuple[MinimumAge, ...]:
    return tuple(_age(ages.child(rule), rule) for rule in ages)


def _age(sheet: Sheet, rule: str) -> MinimumAge:
    if not rule.strip() or not rule.isprintable():
        sheet.note("is no name for a rule; write one of printable characters")
    age = MinimumAge(
        rule=rule,
        days=sheet.number("days", "day", 1, 5000),
        start=_start(sheet, "start", Start.MAKE),
        source=sheet.text("source", sheet.said),
        warm=None if sheet.get("warm") is None else sheet.number("warm", "degC", -5, 40),
        storage=None if sheet.get("storage") is None else sheet.number("storage", "h", 0, 2400),
    )
    sheet.close()
    return age


def _proportions(sheet: Sheet) -> Proportions:
    form = sheet.choice("form", Form)
    flatness = sheet.number(
        "flatness", "height over diameter or width", 0.02, 10, 1.0 if form is Form.BALL else None
    )
    elongation = sheet.number("elongation", "length over width", 1, 20, 1.0)
    sheet.close()
    return Proportions(form, flatness, elongation)


def _stages(sheet: Sheet) -> tuple[Stage, ...]:
    stages = tuple(_stage(sheet, name) for name in sheet)
    for stage in stages[:-1]:
        if stage.days is None:
            sheet.note("is missing; only the last stage goes without", stage.name, "days")
    if stages and stages[-1].days is not None:
        sheet.note(
            f"is {stages[-1].days:g}; the last stage lasts until the wheel is ended, leave it out",
            stages[-1].name,
            "days",
        )
    return stages


def _stage(stages: Sheet, name: str) -> Stage:
    sheet = stages.child(name)
    if not name.strip() or not name.isprintable():
        sheet.note("is no name for a stage; write one of printable characters")
    stage = Stage(
        name=name,
        days=None if sheet.get("days") is None else sheet.number("days", "day", 0, 5000),
        temperature=limits(sheet, "temperature", "degC", -5, 40),
        humidity=limits(sheet, "humidity", "%", 0, 100),
        care=sheet.text("care", ""),
        works=tuple(
            _care(sheet, action) for action in (Action.TURN, *CARE) if sheet.get(action) is not None
        ),
    )
    sheet.close()
    return stage


def _care(stage: Sheet, action: Action) -> Care:
    """How often something is done: a table, or a number of days where the sheet has a source."""
    stated = stage.get(action)
    if stage.said is not None and is_number(stated):
        stated = {"every": stated}
    sheet = stage.child(action, stated)
    work = Care(action, sheet.number("every", "day", 0.1, 400), sheet.text("source", stage.said))
    sheet.close()
    return work
