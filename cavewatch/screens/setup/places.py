"""The third step: the places of the dairy."""

from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Button

from cavewatch.core.place import PlaceKind
from cavewatch.screens.fields import EntryError, Values
from cavewatch.screens.form import Form
from cavewatch.screens.lines import Item, Part, Role, clean, fit, pad
from cavewatch.screens.painted import ItemList
from cavewatch.screens.setup.answers import Answers, PlaceAnswer
from cavewatch.screens.setup.place_fields import KINDS, place_fields, place_of
from cavewatch.screens.setup.step import Step
from cavewatch.units import Display

_NEW = "new "


class PlacesStep(Step):
    """A list of the places, and below them those that can be added."""

    title_words = "Your places"
    explanation = (
        "Anywhere a wheel or a probe can be. Enter or a click on a kind adds one, on a place "
        "changes it; delete takes it out."
    )
    BINDINGS: ClassVar[list[BindingType]] = [Binding("delete", "take_out", show=False)]

    def body(self) -> ComposeResult:
        """The list."""
        yield ItemList(id="list")
        with Horizontal(classes="more"):
            yield Button("Take it out (delete)", id="take-out", compact=True)

    def draw(self) -> None:
        """Places that there are, and kinds that can be added."""
        items = [
            Item(
                f"place {place.name}",
                (fit((Part(pad(clean(place.name), 26)), Part(_words(place))), self.cells),),
            )
            for place in self.answers.places
        ]
        for kind, (_, what) in KINDS.items():
            add = Part(f"+ {kind.value:<6}", Role.STRONG), Part(f" {what}", Role.FAINT)
            items.append(Item(f"{_NEW}{kind.value}", (fit(add, self.cells),)))
        self.query_one(ItemList).show(items)
        chosen = self._chosen
        self.query_one("#take-out", Button).disabled = chosen is None

    @property
    def _chosen(self) -> PlaceAnswer | None:
        """The place under the cursor."""
        key = self.query_one(ItemList).key or ""
        return next((p for p in self.answers.places if f"place {p.name}" == key), None)

    def answered(self) -> Answers:
        """As they are listed; at least one."""
        if not self.answers.places:
            raise EntryError("one place is needed at least: choose a kind and press enter")
        return self.answers

    @on(ItemList.Reached)
    def _reached(self) -> None:
        self.draw()

    @on(ItemList.Opened)
    def _opened(self, event: ItemList.Opened) -> None:
        """Ask for a new place, or for what is to be changed."""
        old = self._chosen
        if old is None:
            kind = PlaceKind(event.key.removeprefix(_NEW))
            place = PlaceAnswer(self._free_name(KINDS[kind][0]), kind)
        else:
            place = old
        others = [p.name for p in self.answers.places if p is not old]
        fields = place_fields(place, others, Display(self.answers.units))

        def finish(v: Values) -> PlaceAnswer:
            return place_of(place.kind, v)

        def finished(found: PlaceAnswer | None) -> None:
            if found is None:
                return
            places = [found if p is old else p for p in self.answers.places]
            self._keep([*places, found] if old is None else places, {place.name: found.name})
            self.query_one(ItemList).go_to(f"place {found.name}")

        form = Form(f"A {place.kind.value}", fields, finish, "Keep", begin="name")
        self.app.push_screen(form, finished)

    @on(Button.Pressed, "#take-out")
    def action_take_out(self) -> None:
        """Take the place under the cursor out of the list."""
        chosen = self._chosen
        if chosen is not None:
            self._keep([p for p in self.answers.places if p is not chosen], {})

    def _keep(self, places: list[PlaceAnswer], renamed: dict[str, str]) -> None:
        """Take these places; sensors keep feeding those that are left, under their new names."""
        names = {place.name for place in places}
        sensors = []
        for sensor in self.answers.sensors:
            feeds = {}
            for value, (channel, unit) in sensor.feeds.items():
                place, _, quantity = channel.rpartition(".")
                if (name := renamed.get(place, place)) in names:
                    feeds[value] = (f"{name}.{quantity}", unit)
            if feeds:
                sensors.append(replace(sensor, feeds=feeds))
        self.setting_up.answers = replace(
            self.answers, places=tuple(places), sensors=tuple(sensors)
        )
        self.say("")
        self.draw()

    def _free_name(self, usual: str) -> str:
        taken = {place.name.casefold() for place in self.answers.places}
        names = (usual, *(f"{usual} {number}" for number in range(2, len(taken) + 3)))
        return next(name for name in names if name.casefold() not in taken)


def _words(place: PlaceAnswer) -> str:
    """What is known of it, in a few words."""
    ranges = [f"{low} to {high}" for low, high in place.ranges.values()]
    brine = [place.strength, place.volume, place.temperature]
    return ", ".join(clean(text) for text in (place.kind.value, *ranges, *brine) if text)
