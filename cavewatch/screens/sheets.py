"""The forms of the dashboard: for each act of the journal, its fields and how they make it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from cavewatch import clock, units
from cavewatch.core import journal
from cavewatch.core.countdown import CARE
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, Ending, Entry, Wash
from cavewatch.core.place import PlaceKind
from cavewatch.core.urgent import number_words, wheel_words
from cavewatch.core.wheel import fold
from cavewatch.screens import wording
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values, When, filled, numbers

_TYPED = "typed below"
_SALTIEST, _ROUGHEST = 15.0, 5.0
"""No assay finds more, and none is so far off [% of the cheese]."""


@dataclass(frozen=True, slots=True)
class Target:
    """The wheels that an action may be meant for."""

    chosen: tuple[int, ...]
    """Under the cursor."""
    make: tuple[int, ...]
    """All of their make."""
    here: tuple[int, ...]
    """All in their place, or in the place under the cursor."""
    place: str
    grams: float | None = None
    """Salt that the next step puts on each [g]."""


NOWHERE = Target((), (), (), "")
"""On a page that is about nothing in particular."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A form before anything is typed."""

    title: str
    fields: tuple[Field, ...]
    """The last two are `when` and `by`."""
    build: Callable[[Values], Act | tuple[Act, ...]]
    """Several acts are entered, and taken back, together."""


@dataclass(frozen=True, slots=True)
class Sheets:
    """Makes the forms from what is known now."""

    desk: Desk
    dairy: Dairy
    target: Target

    def turned(self) -> Sheet:
        """Wheels turned over."""
        return Sheet(
            "Turned",
            (*self._wheels(), *signed(self.desk, self.dairy)),
            lambda v: journal.Turned(v["wheels"]),
        )

    def washed(self) -> Sheet:
        """Rinds tended."""
        due = (
            task.action
            for task in self.dairy.tasks
            if task.action in CARE and set(task.wheels) & set(self.target.chosen)
        )
        how = Field(
            "how",
            "how",
            lambda text, _: Wash(text),
            lambda _, __: "",
            next(due, Wash.WASH).value,
            choices=tuple((wash.value, wash.value) for wash in Wash),
        )
        return Sheet(
            "Rind",
            (*self._wheels(), how, *signed(self.desk, self.dairy)),
            lambda v: journal.Washed(v["wheels"], v["how"]),
        )

    def salted(self) -> Sheet:
        """Dry salt put on."""

        def echo(grams: float, v: Values) -> str:
            wheels = v["wheels"]
            mass = self.desk.display.mass
            in_all = f", {mass(grams * len(wheels))} in all" if len(wheels) > 1 else ""
            return f"{mass(grams)} each{in_all}"

        def read(text: str, v: Values) -> float:
            grams = units.mass(filled(text))
            for number in v["wheels"]:
                if grams >= self.dairy.wheels[number].weight:
                    raise EntryError(f"'{text}' is as much salt as wheel {number} weighs")
            return grams

        usual = self.target.grams
        initial = "" if usual is None else f"{usual:.{1 if usual < 10 else 0}f} g"
        grams = Field("grams", "salt each", read, echo, initial, hint="9 g or 0.3 oz")
        return Sheet(
            "Salted",
            (*self._wheels(), grams, *signed(self.desk, self.dairy)),
            lambda v: journal.Salted(v["wheels"], v["grams"]),
        )

    def lifted(self) -> Sheet:
        """Salting over."""
        places = tuple(
            (place.name, place.name)
            for place in self.desk.places
            if place.kind is not PlaceKind.TUB
        )
        place = Field(
            "place",
            "to",
            lambda text, _: text or None,
            lambda _, __: "their salting is over",
            choices=(("where they are, wiped", ""), *places),
        )
        return Sheet(
            "Lifted",
            (*self._wheels(), place, *signed(self.desk, self.dairy)),
            lambda v: journal.Lifted(v["wheels"], v["place"]),
        )

    def moved(self) -> Sheet:
        """Wheels moved to another place."""
        wheels = self._wheels()
        names = [place.name for place in self.desk.places]
        other = next((name for name in names if name != self.target.place), names[0])
        return Sheet(
            "Moved",
            (*wheels, self._place("to", other), *signed(self.desk, self.dairy)),
            lambda v: journal.Moved(v["wheels"], v["place"]),
        )

    def ended(self) -> Sheet:
        """Wheels that leave the dairy."""
        how = Field(
            "how",
            "how",
            lambda text, _: Ending(text),
            lambda _, __: "they leave the screen, not the record",
            Ending.SOLD,
            choices=tuple((ending.value, ending.value) for ending in Ending),
        )
        return Sheet(
            "Ended",
            (*self._wheels(), how, text_field("why", "why"), *signed(self.desk, self.dairy)),
            lambda v: journal.Ended(v["wheels"], v["how"], v["why"]),
        )

    def assayed(self) -> Sheet:
        """Salt found in wheels, ended ones too: who cuts a wheel up can taste it."""
        places = {place.name: place for place in self.desk.places}
        every, _ = fold(self.desk.entries(), self.desk.styles, places)
        sheets = replace(self, dairy=replace(self.dairy, wheels=every))

        def part(most: float) -> Callable[[str, Values], float]:
            def read(text: str, _: Values) -> float:
                found = units.part(filled(text), most)
                if found <= 0:
                    raise EntryError(f"'{text}' is nothing; write more than 0 %")
                return found

            return read

        def echo(percent: float, v: Values) -> str:
            together = f", one sample of {len(v['wheels'])}" if len(v["wheels"]) > 1 else ""
            return f"{percent:.2f} % of the cheese{together}"

        salt = Field("salt", "salt found", part(_SALTIEST), echo, hint="1.9 %")
        error = Field(
            "error",
            "give or take",
            part(_ROUGHEST),
            lambda percent, _: f"{percent:.2f} % either way",
            "0.1 %",
        )
        return Sheet(
            "Assayed",
            (*sheets._wheels(), salt, error, *signed(self.desk, sheets.dairy)),
            lambda v: journal.Assayed(v["wheels"], v["salt"], v["error"]),
        )

    def weighed(self) -> Sheet:
        """What wheels weigh."""

        def echo(grams: float, v: Values) -> str:
            first = self.dairy.wheels[v["wheels"][0]].weight
            lost = 100.0 * (first - grams) / first
            change = f"{abs(lost):.1f} % {'less' if lost >= 0 else 'more'} than as it went to salt"
            return f"{self.desk.display.to_weigh(grams)}, {change}"

        def read(text: str, v: Values) -> float:
            grams = units.mass(filled(text))
            for number in v["wheels"]:
                weight = self.dairy.wheels[number].weight
                if not weight / 2 <= grams <= weight * 1.2:
                    was = self.desk.display.mass(weight)
                    raise EntryError(f"'{text}' cannot be wheel {number}, which went in with {was}")
            return grams

        grams = Field("grams", "weight each", read, echo, hint="2.31 kg or 5 lb")
        return Sheet(
            "Weighed",
            (*self._wheels(), grams, *signed(self.desk, self.dairy)),
            lambda v: journal.Weighed(v["wheels"], v["grams"]),
        )

    def noted(self) -> Sheet:
        """Free text."""

        note = Field("text", "note", lambda text, _: filled(text).strip(), lambda _, __: "")
        return Sheet(
            "Note",
            (note, *self._wheels(optional=True), *signed(self.desk, self.dairy)),
            lambda v: journal.Noted(v["text"], v["wheels"]),
        )

    def voided(self, entry: Entry) -> Sheet:
        """An entry was a mistake."""
        words = wording.act_words(entry.act, self.desk.display)
        why = Field("why", "why", lambda text, _: filled(text).strip(), lambda _, __: "")
        return Sheet(
            f"Void entry {entry.id}: {words}",
            (why, *signed(self.desk, self.dairy)),
            lambda v: journal.Voided(entry.id, v["why"]),
        )

    def _wheels(self, optional: bool = False) -> tuple[Field, Field]:
        """Which wheels: chosen from those at hand, or typed."""
        if not self.dairy.wheels and not optional:
            raise EntryError("there is no wheel yet; enter new wheels first")
        near = (
            ("selected", self.target.chosen),
            ("the make", self.target.make),
            (f"all in {self.target.place}", self.target.here),
        )
        offered: dict[tuple[int, ...], str] = {}
        for label, wheels in near:
            if wheels and wheels not in offered:
                offered[wheels] = f"{number_words(wheels)}, {label}"
        choices = [(label, ",".join(map(str, wheels))) for wheels, label in offered.items()]
        if optional:
            choices.insert(0, ("no wheel", ""))
        choices.append(("as typed below", _TYPED))

        def read(text: str, v: Values) -> tuple[int, ...]:
            if v["which"] != _TYPED:
                return numbers(v["which"], self.dairy.wheels) if v["which"] else ()
            return numbers(filled(text), self.dairy.wheels)

        def echo(wheels: tuple[int, ...], _: Values) -> str:
            names = dict.fromkeys(self.dairy.wheels[n].style.name for n in wheels)
            return f"{wheel_words(wheels)}: {', '.join(names)}" if wheels else ""

        which = Field(
            "which",
            "wheels",
            lambda text, _: text,
            lambda _, __: "",
            choices[0][1],
            tuple(choices),
        )
        return which, Field("wheels", "or typed", read, echo, hint="14-19, 22")

    def _place(self, label: str, initial: str) -> Field:
        kinds = {place.name: place.kind for place in self.desk.places}

        def echo(name: str, _: Values) -> str:
            return "into brine" if kinds[name] is PlaceKind.TUB else kinds[name].value

        return Field(
            "place",
            label,
            lambda text, _: text,
            echo,
            initial,
            choices=tuple((name, name) for name in kinds),
        )


def text_field(name: str, label: str) -> Field:
    """Any text, or none."""
    return Field(name, label, lambda text, _: text.strip(), lambda _, __: "")


def signed(desk: Desk, dairy: Dairy) -> tuple[Field, Field]:
    """When it happened and who says so: the last two fields of every form."""

    def when(text: str, v: Values) -> When:
        at = clock.instant(text, desk.now(), desk.zone)
        # A clock that is behind, not yet set, does not know what is still to come.
        if dairy.clock_sure and at > desk.now() + 60:
            raise EntryError(f"'{text}' is still to come; enter what has happened")
        for number in v.get("wheels", ()):
            made = dairy.wheels[number].made_at
            if at < made:
                moment = clock.moment(made, desk.now(), desk.zone)
                raise EntryError(f"wheel {number} was not made before {moment}")
        return When(at, not clock.is_relative(text))

    def by(text: str, _: Values) -> str:
        if not 1 <= len(text.strip()) <= 8:
            raise EntryError("write initials of 1 to 8 letters")
        return text.strip()

    echo = time_echo(desk)
    return (
        Field("when", "when", when, lambda w, v: echo(w.at, v), "now", hint="16:30, Fri 16:30"),
        Field("by", "initials", by, lambda _, __: "", desk.initials),
    )


def time_of_log(desk: Desk, start: float, end: float) -> Field:
    """A time within a replayed log."""

    def read(text: str, _: Values) -> float:
        now = desk.now()
        at = clock.instant(filled(text), now, desk.zone, ahead=True)
        if at > end:
            at = clock.instant(text, now, desk.zone)
        if not start <= at <= end:
            first, last = (f"{clock.local(t, desk.zone):%Y-%m-%d %H:%M}" for t in (start, end))
            raise EntryError(f"the log runs from {first} to {last}")
        return at

    return Field("time", "time", read, time_echo(desk), hint="06:40, Fri 16:30")


def time_echo(desk: Desk) -> Callable[[float, Values], str]:
    """Shows a typed time as it was understood, and how long ago or ahead that is."""

    def echo(at: float, _: Values) -> str:
        there, here = (clock.local(each, desk.zone) for each in (at, desk.now()))
        words = f"{there:%a %d %b %H:%M}" if there.year == here.year else f"{there:%d %b %Y %H:%M}"
        apart = desk.now() - at
        if abs(apart) < wording.MINUTE:
            return words
        length = clock.duration(abs(apart) - abs(apart) % wording.MINUTE)
        return f"{words}, {length} ago" if apart > 0 else f"{words}, in {length}"

    return echo
