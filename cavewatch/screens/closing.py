"""The form that closes an alarm: what was done with the product and about the cause."""

from dataclasses import replace

from cavewatch import clock
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Corrected
from cavewatch.core.record import Occurrence
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values, When, filled
from cavewatch.screens.sheets import Sheet, signed, text_field


def closing(desk: Desk, dairy: Dairy, came: Occurrence, again: float | None) -> Sheet:
    """The corrective action for one time that an alarm came.

    Args:
        desk: the dairy.
        dairy: its picture.
        came: that time.
        again: when it came the next time [s since 1970 UTC]; None if it did not.
    """
    product = Field(
        "product",
        "product",
        lambda text, _: filled(text).strip(),
        lambda _, __: "",
        hint="moved; or nothing, and why",
    )
    when, by = signed(desk, dairy)

    def within(text: str, v: Values) -> When:
        done: When = when.read(text, v)
        # An entry is for the last time that the alarm had come by then.
        if done.at < came.since:
            raise EntryError(f"the alarm came only at {_second(came.since, desk)}")
        if again is not None and done.at >= again:
            raise EntryError(
                f"it came again at {_second(again, desk)}; write when something was done before"
            )
        return done

    return Sheet(
        f"Close: {came.alarm.explanation.what}",
        (product, text_field("cause", "cause"), replace(when, read=within), by),
        lambda v: Corrected(came.alarm.key, v["product"], v["cause"]),
    )


def _second(at: float, desk: Desk) -> str:
    return f"{clock.local(at, desk.zone):%Y-%m-%d %H:%M:%S}"
