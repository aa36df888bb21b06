"""The fourth step: the sensors that are plugged in."""

from dataclasses import replace
from functools import partial

from textual import on
from textual.app import ComposeResult

from cavewatch.config import values
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.sensor import Unit
from cavewatch.screens.fields import EntryError, Field, Values, filled
from cavewatch.screens.form import Form
from cavewatch.screens.lines import Item, Line, Part, Role, clean, cut, wrap
from cavewatch.screens.painted import ItemList
from cavewatch.screens.setup.answers import Answers, PortHeard, SensorAnswer, ValueHeard
from cavewatch.screens.setup.step import Step

NONE_FOUND = (
    "No serial port is found. Go on without: the dashboard runs, and config.example.toml shows how "
    "sensors are written. One that is plugged in now appears here."
)
_NOT = "nothing"
_LINES = 2
"""Lines shown of each port."""
_USUAL = {Quantity.TEMPERATURE: Unit.CELSIUS, Quantity.HUMIDITY: Unit.PERCENT}


class PortsStep(Step):
    """A list of ports with what they say."""

    title_words = "Your sensors"
    explanation = (
        "What each serial port says, as it comes, and what is made out of it. Enter or a click on "
        "a port says where its sensor hangs."
    )

    def body(self) -> ComposeResult:
        """The list."""
        yield ItemList(id="list")

    def on_mount(self) -> None:
        """Look again each second."""
        self.set_interval(1, self.draw)

    @property
    def _ports(self) -> dict[str, PortHeard]:
        return {heard.port: heard for heard in self.setting_up.machine.heard()}

    def draw(self) -> None:
        """The ports; instead of none, what that means."""
        if self.app.screen is not self:
            return
        sensors = {sensor.heard.port: sensor for sensor in self.answers.sensors}
        items = [
            Item(port, tuple(self._lines(heard, sensors.get(port))))
            for port, heard in self._ports.items()
        ]
        if not items:
            lines = tuple((Part(text),) for text in wrap(NONE_FOUND, self.cells))
            items = [Item("", lines)]
        self.query_one(ItemList).show(items)

    def _lines(self, heard: PortHeard, sensor: SensorAnswer | None) -> list[Line]:
        told = [Part(clean(heard.port), Role.STRONG), Part(f"  {clean(heard.description)}")]
        lines: list[Line] = [(Part(cut(told[0].text + told[1].text, self.cells), Role.STRONG),)]
        for text, words in heard.lines[-_LINES:]:
            lines.append((Part(cut(f"  {clean(text)}", self.cells)),))
            lines.append((Part(cut(f"    {clean(words)}", self.cells), Role.FAINT),))
        lines += [
            (Part(cut(f"  {text}", self.cells), Role.CAUTION),)
            for text in wrap(clean(_state(heard)), self.cells - 2)
        ]
        if sensor is not None:
            feeds = ", ".join(f"{name} is {channel}" for name, (channel, _) in sensor.feeds.items())
            said = f"{sensor.name}: {feeds}"
            lines += [
                (Part(f"  {text}", Role.STRONG),) for text in wrap(clean(said), self.cells - 2)
            ]
        elif heard.values:
            lines.append((Part(cut("  not used yet; enter says where it hangs", self.cells)),))
        return lines

    def answered(self) -> Answers:
        """Sensors that were placed; the other ports are only named in the config."""
        used = {sensor.heard.port for sensor in self.answers.sensors}
        idle = tuple(heard for port, heard in self._ports.items() if port not in used)
        return replace(self.answers, idle=idle)

    @on(ItemList.Opened)
    def _opened(self, event: ItemList.Opened) -> None:
        """Ask where the values of a port come from."""
        heard = self._ports.get(event.key)
        if heard is None:
            return
        if not heard.values:
            self.say(f"{heard.port}: nothing that makes sense has come yet")
            return
        self.say("")
        before = next((s for s in self.answers.sensors if s.heard.port == heard.port), None)
        others = [s for s in self.answers.sensors if s is not before]

        def finish(v: Values) -> SensorAnswer:
            feeds = {
                value.name: v[f"value-{number}"]
                for number, value in enumerate(heard.values)
                if v[f"value-{number}"] is not None
            }
            channels = [channel for channel, _ in feeds.values()]
            for channel in channels:
                if channels.count(channel) > 1:
                    raise EntryError(f"{channel} is fed twice; choose another for one of them")
            return SensorAnswer(v["name"], heard, feeds)

        def finished(found: SensorAnswer | None) -> None:
            if found is not None:
                kept = (*others, found) if found.feeds else tuple(others)
                self.setting_up.answers = replace(self.answers, sensors=kept)
            self.draw()

        fields = sensor_fields(heard, before, self.answers, others)
        title = f"What {heard.port} measures"
        self.app.push_screen(Form(title, fields, finish, "Keep", begin="name"), finished)


def _state(heard: PortHeard) -> str:
    """What is to be known of a port beside its lines; empty where they say all."""
    if heard.trouble:
        return heard.trouble
    if heard.values:
        return ""
    if heard.data:
        return f"nothing that makes sense yet, at {heard.baud} baud; other speeds are tried"
    return (
        "nothing came yet. Some send seldom; a Modbus transmitter says nothing until it is asked, "
        "and is written in the config by hand"
    )


def sensor_fields(
    heard: PortHeard,
    before: SensorAnswer | None,
    answers: Answers,
    others: list[SensorAnswer],
) -> tuple[Field, ...]:
    """The sensor's name, and for each value the channel that it feeds.

    Args:
        heard: what the port says.
        before: how it was answered before.
        answers: for the places.
        others: the other sensors, whose channels and names are taken.
    """
    taken = {sensor.name.casefold() for sensor in others}
    fed = {channel for sensor in others for channel, _ in sensor.feeds.values()}
    places = sorted(answers.places, key=lambda place: place.kind is not PlaceKind.CAVE)
    free = [
        f"{place.name}.{quantity}"
        for place in places
        for quantity in Quantity
        if f"{place.name}.{quantity}" not in fed
    ]

    def name(text: str, _: Values) -> str:
        found = str(values.text(24)(filled(text).strip()))
        if found.casefold() in taken:
            raise EntryError(f"there is a sensor '{found}' already; write another name")
        return found

    guessed: set[str] = set()
    fields = []
    for number, value in enumerate(heard.values):
        initial = _NOT
        if before is not None:
            initial = before.feeds.get(value.name, (_NOT, None))[0]
        elif value.unit is not None:
            kind = f".{value.unit.quantity}"
            fitting = (c for c in free if c.endswith(kind) and c not in guessed)
            initial = next(fitting, _NOT)
            guessed.add(initial)
        fields.append(
            Field(
                f"value-{number}",
                clean(value.name)[:14],
                partial(_fed, value),
                partial(_said, value),
                initial,
                ((_NOT, _NOT), *((channel, channel) for channel in free)),
            )
        )
    usual = "sensor", *(f"sensor {n}" for n in range(2, len(taken) + 3))
    first = next(each for each in usual if each not in taken) if before is None else before.name
    return Field("name", "name", name, lambda found, _: found, first), *fields


def _fed(value: ValueHeard, text: str, _: Values) -> tuple[str, Unit] | None:
    """The channel that was chosen for a value, and the unit; None for none."""
    if text == _NOT:
        return None
    quantity = Quantity(text.rpartition(".")[2])
    heard = value.unit
    return text, heard if heard is not None and heard.quantity is quantity else _USUAL[quantity]


def _said(value: ValueHeard, _: object, __: Values) -> str:
    return clean(value.words)
