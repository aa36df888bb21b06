"""Figures and limits, each with its source, as a style states them."""

from collections.abc import Mapping

from cavewatch.core.reading import Quantity
from cavewatch.core.style import Figure, Limits, When
from cavewatch.styles.sheet import Sheet, is_number


def figure(sheet: Sheet, key: str, unit: str, least: float, most: float) -> Figure:
    """A figure within bounds: a table, or one or three numbers where the sheet has a source."""
    stated = sheet.get(key)
    if sheet.said is not None and is_number(stated):
        stated = [stated, stated, stated]
    if sheet.said is not None and isinstance(stated, list | tuple) and len(stated) == 3:
        stated = dict(zip(("low", "value", "high"), stated, strict=True))
    if not isinstance(stated, Mapping):
        bare = "" if sheet.said is None else "a number, [low, value, high] or "
        wanted = f"{bare}{{ value = .., low = .., high = .., source = '..' }} [{unit}]"
        sheet.wrong(key, stated, wanted)
        return Figure(0, 0, 0, "")
    inner = sheet.child(key, stated)
    sound = len(sheet.faults)
    low, value, high = (inner.number(part, unit, least, most) for part in ("low", "value", "high"))
    source = inner.text("source", sheet.said)
    inner.close()
    if len(sheet.faults) == sound and not low <= value <= high:
        sheet.note(f"has low {low:g}, value {value:g}, high {high:g}; write them rising", key)
    return Figure(value, low, high, source)


def limits(sheet: Sheet, key: str, unit: str, least: float, most: float) -> Limits | None:
    """Limits within bounds: a table, or two numbers where the sheet has a source; may be absent."""
    stated = sheet.get(key)
    if stated is None:
        return None
    if sheet.said is not None and isinstance(stated, list | tuple) and len(stated) == 2:
        stated = dict(zip(("low", "high"), stated, strict=True))
    if not isinstance(stated, Mapping):
        bare = "" if sheet.said is None else "[low, high] or "
        sheet.wrong(key, stated, f"{bare}{{ low = .., high = .., source = '..' }} [{unit}]")
        return None
    inner = sheet.child(key, stated)
    sound = len(sheet.faults)
    low_low, low, high, high_high = edges = [
        None if inner.get(edge) is None else inner.number(edge, unit, least, most)
        for edge in ("low_low", "low", "high", "high_high")
    ]
    source = inner.text("source", sheet.said)
    when = None if inner.get("when") is None else _when(inner.child("when"), unit, least, most)
    inner.close()
    if len(sheet.faults) == sound:
        if low is None and high is None:
            sheet.note("has neither low nor high; write at least one of them", key)
        elif low is not None and high is not None and low > high:
            sheet.note(f"has low {low:g} above high {high:g}; write them rising", key)
        elif (given := [edge for edge in edges if edge is not None]) != sorted(given):
            sheet.note("has low_low, low, high, high_high that do not rise; write them rising", key)
    return Limits(low, high, source, when, low_low, high_high)


def _when(sheet: Sheet, unit: str, least: float, most: float) -> When:
    """Other edges, and what else must read above which value for them to hold."""
    bounds = {Quantity.TEMPERATURE: ("degC", -5.0, 40.0), Quantity.HUMIDITY: ("%", 0.0, 100.0)}
    given = [quantity for quantity in Quantity if sheet.get(f"{quantity}_above") is not None]
    if len(given) != 1:
        sheet.note("needs one of temperature_above and humidity_above; write one of them")
    quantity = given[0] if given else Quantity.TEMPERATURE
    above = sheet.number(f"{quantity}_above", *bounds[quantity]) if given else 0.0
    low, high = (
        None if sheet.get(edge) is None else sheet.number(edge, unit, least, most)
        for edge in ("low", "high")
    )
    if low is None and high is None:
        sheet.note("has neither low nor high; write at least one of them")
    sheet.close()
    return When(quantity, above, low, high)
