"""The forms that keep an alarm from calling: shelve it, take it out, suspend its place."""

from cavewatch import clock, units
from cavewatch.core.alarms import answers
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.dairy import Dairy
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import Field, Values, filled
from cavewatch.screens.sheets import Sheet, signed, text_field


def shelving(desk: Desk, dairy: Dairy, alarm: Alarm) -> Sheet:
    """Set an alarm aside; it comes back by itself."""
    return Sheet(
        f"Shelve: {alarm.explanation.what}",
        (_lasting(desk, "2 h"), text_field("why", "why"), *signed(desk, dairy)),
        lambda v: answers.shelve(alarm.key, v["when"].at, v["lasting"], v["why"]),
    )


def taking_out(desk: Desk, dairy: Dairy, alarm: Alarm) -> Sheet:
    """Take an alarm out of service until it is put back."""
    why = Field("why", "why", lambda text, _: filled(text).strip(), lambda _, __: "")
    return Sheet(
        f"Out of service: {alarm.explanation.what}",
        (why, *signed(desk, dairy)),
        lambda v: answers.take_out(alarm.key, v["why"]),
    )


def suspending(desk: Desk, dairy: Dairy, place: str) -> Sheet:
    """A place does not count for a time, such as while its door is open for cleaning."""
    where = Field(
        "place",
        "place",
        lambda text, _: text,
        lambda _, __: "its air or brine raises no alarm",
        place,
        choices=tuple((found.name, found.name) for found in desk.places),
    )
    why = Field("why", "why", lambda text, _: text.strip(), lambda _, __: "", "cleaning")
    return Sheet(
        "Suppress the alarms of a place",
        (where, _lasting(desk, "30 min"), why, *signed(desk, dairy)),
        lambda v: answers.suppress(v["place"], v["when"].at, v["lasting"], v["why"]),
    )


def _lasting(desk: Desk, initial: str) -> Field:
    def echo(seconds: float, _: Values) -> str:
        return f"until {clock.moment(desk.now() + seconds, desk.now(), desk.zone)}"

    return Field(
        "lasting",
        "for",
        lambda text, _: units.duration(filled(text)),
        echo,
        initial,
        hint="30 min, 2 h",
    )
