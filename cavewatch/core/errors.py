"""The root of every error that Cavewatch raises on purpose."""


class CavewatchError(Exception):
    """Something a person can put right; its text is one clear sentence.

    Each area derives its own subclass. The command line prints the text and
    exits; a screen shows it. No traceback of one of these reaches a user.
    """


class OutOfRangeError(CavewatchError, ValueError):
    """A number lies outside the range in which a formula or a table is valid."""

    def __init__(self, what: str, value: float, low: float, high: float, unit: str) -> None:
        unit = f" {unit}" if unit else ""
        super().__init__(f"{what} is {value:g}{unit}; it must lie from {low:g} to {high:g}{unit}")


def within(what: str, value: float, low: float, high: float, unit: str) -> float:
    """Return `value` if it lies from `low` to `high`; raise OutOfRangeError otherwise (NaN too)."""
    if not low <= value <= high:
        raise OutOfRangeError(what, value, low, high, unit)
    return value
