"""The home screen: what is most urgent, the alarms, the places, the wheels in salt."""

from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.worker import Worker, WorkerState

from cavewatch import clock
from cavewatch.core.alarms.table import State
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Acknowledged, Act, Entry, Voided
from cavewatch.core.reading import Channel
from cavewatch.screens import frame, wording
from cavewatch.screens.alarms import alarm_lines
from cavewatch.screens.chart import Values, bins_before
from cavewatch.screens.commands import COMMANDS, commands, footer, help_lines
from cavewatch.screens.desk import Desk, ReplayControls
from cavewatch.screens.detail import WIDEST, Body, Detail
from cavewatch.screens.details import alarm_detail, group_detail, place_detail
from cavewatch.screens.fields import FieldError
from cavewatch.screens.form import Form
from cavewatch.screens.groups import Group, group_lines, groups_of, when
from cavewatch.screens.lines import Line, Part, Role, clean
from cavewatch.screens.new_wheels import new_wheels
from cavewatch.screens.painted import BAR, GUTTER, Item, ItemList, Lines
from cavewatch.screens.palette import CommandProvider
from cavewatch.screens.places import SPARK, place_heading, place_lines
from cavewatch.screens.plan import NARROW, TALL, Plan, plan
from cavewatch.screens.sheets import Sheet, Sheets, Target

DAY = 86400.0
SAID = 8.0
"""How long a confirmation stands in the place of the keys [s]."""
_ABOUT_WHEELS = {"t", "s", "l", "m", "e", "w"}


class HomeScreen(Screen[None]):
    """Draws the picture once a second where it changed, and carries out commands."""

    COMMANDS: ClassVar = {CommandProvider}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(command.key, f"give('{command.key}')", command.label, show=False)
        for command in COMMANDS
    ]
    HORIZONTAL_BREAKPOINTS: ClassVar[list[tuple[int, str]] | None] = [
        (0, "-narrow"),
        (NARROW, "-wide"),
    ]
    VERTICAL_BREAKPOINTS: ClassVar[list[tuple[int, str]] | None] = [(0, "-short"), (TALL, "-tall")]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.dairy: Dairy = desk.picture()
        self._groups: tuple[Group, ...] = ()
        self._plan = Plan(False, 1, 1, 2)
        self._trends: dict[Channel, Values] = {}
        self._minute = 0.0
        self._painted: dict[str, tuple[object, tuple[Line, ...]]] = {}
        self._written: list[Entry] = []
        self._said: Line = ()
        self._said_until = 0.0
        self._skipping = False
