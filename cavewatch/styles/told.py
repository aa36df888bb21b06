"""A style as text of the config: what it says lays the same style over the book again."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from cavewatch.core.style import Figure, Limits, MinimumAge, Stage, Start, Style

Table = Mapping[str, Any]


def toml(style: Style) -> str:
    """The whole style as a table `[style.ID]` of a config, every figure with its source."""
    lines = [f"[style.{style.id}]"]
    for key, value in _given(_style(style)):
        if key in ("stages", "ages"):
            lines += [f"{key}.{_quoted(name)} = {_value(part)}" for name, part in value.items()]
        else:
            lines.append(f"{key} = {_value(value)}")
    return "\n".join(lines) + "\n"


def _style(style: Style) -> Table:
    brine, dry, milled, usual = style.brine, style.dry, style.milled, style.usual
    shape = style.proportions
    return {
        "name": style.name,
        "family": style.family,
        "moisture": _figure(style.moisture),
        "salt": _figure(style.salt),
        "methods": [method.value for method in style.methods],
        "proportions": {
            "form": shape.form.value,
            "flatness": shape.flatness,
            "elongation": shape.elongation,
        },
        "weight": _figure(style.weight),
        "density": _figure(style.density),
        "loss": _figure(style.loss),
        "diffusivity": _figure(style.diffusivity),
        "rate": _figure(style.rate),
        "brine": brine
        and {"strength": _figure(brine.strength), "temperature": _limits(brine.temperature)},
        "dry": dry
        and {
            "dose": _figure(dry.dose),
            "hours": list(dry.hours),
            "retention": _figure(dry.retention),
            "temperature": _limits(dry.temperature),
            "humidity": _limits(dry.humidity),
        },
        "milled": milled
        and {
            "retention": _figure(milled.retention),
            "cheese_per_curd": _figure(milled.cheese_per_curd),
        },
        "ready_days": style.ready_days and _figure(style.ready_days),
        "notes": list(style.notes) or None,
        "usual": usual
        and {
            "time": usual.time,
            "weight": usual.weight,
            "strength": usual.strength,
            "temperature": usual.temperature,
        },
        "stages_start": style.stages_start.value,
        "stages": {stage.name: _stage(stage) for stage in style.stages},
        "ages": {age.rule: _age(age) for age in style.ages},
    }


def _figure(figure: Figure) -> Table:
    return {
        "value": figure.value,
        "low": figure.low,
        "high": figure.high,
        "source": figure.source,
    }


def _limits(limits: Limits | None) -> Table | None:
    if limits is None:
        return None
    when = limits.when
    return {
        "low_low": limits.low_low,
        "low": limits.low,
        "high": limits.high,
        "high_high": limits.high_high,
        "when": when and {f"{when.quantity}_above": when.above, "low": when.low, "high": when.high},
        "source": limits.source,
    }


def _stage(stage: Stage) -> Table:
    works = {
        work.action.value: {"every": work.every, "source": work.source} for work in stage.works
    }
    return {
        "days": stage.days,
        "temperature": _limits(stage.temperature),
        "humidity": _limits(stage.humidity),
        "care": stage.care or None,
        **works,
    }


def _age(age: MinimumAge) -> Table:
    return {
        "days": age.days,
        "start": None if age.start is Start.MAKE else age.start.value,
        "warm": age.warm,
        "storage": age.storage,
        "source": age.source,
    }


def _given(table: Table) -> Iterator[tuple[str, Any]]:
    """What a table holds, without what is not there."""
    return ((key, value) for key, value in table.items() if value is not None)


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        parts = (f"{_quoted(key)} = {_value(part)}" for key, part in _given(value))
        return f"{{ {', '.join(parts)} }}"
    if isinstance(value, list):
        return f"[{', '.join(_value(part) for part in value)}]"
    # Quoted text of printable signs and numbers are written alike in JSON and TOML.
    return json.dumps(value, ensure_ascii=False)


def _quoted(key: str) -> str:
    bare = key.replace("_", "").isascii() and key.replace("_", "").isalpha()
    return key if bare else json.dumps(key, ensure_ascii=False)
