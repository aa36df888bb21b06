"""The commands: one class each, from which footer, palette, help and key table are made."""

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING, ClassVar

from cavewatch.screens.lines import Line, Part, Role, pad, width_of, wrap

if TYPE_CHECKING:
    from cavewatch.screens.home import HomeScreen


class Command(ABC):
    """Something that a maker can tell the dashboard to do."""

    key: ClassVar[str]
    """As Textual names it."""
    shown: ClassVar[str]
    """As people read it."""
    label: ClassVar[str]
    """A word or two for the footer."""
    help: ClassVar[str]
    """A sentence without full stop."""
    replay: ClassVar[bool] = False
    """True for a command that only a replay has."""

    @abstractmethod
    def run(self, home: "HomeScreen") -> None:
        """Do it; a CavewatchError is shown to the maker."""


class Acknowledge(Command):
    """Alarm seen."""

    key, shown, label = "a", "a", "acknowledge"
    help = "Acknowledge the alarm under the cursor: somebody has seen it"

    def run(self, home: "HomeScreen") -> None:
        """Append the entry at once."""
        home.acknowledge()


class Shelve(Command):
    """Alarm set aside, or taken back."""

    key, shown, label = "z", "z", "shelve"
    help = "Shelve the alarm under the cursor for a time, or take back one that is shelved"

    def run(self, home: "HomeScreen") -> None:
        """Open the form, or append the entry at once."""
        home.shelve()


class Suspend(Command):
    """Place that does not count for a time."""

    key, shown, label = "c", "c", "cleaning"
    help = "Suppress the alarms of a place for a time, such as while its door is open for cleaning"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.suspend()


class Service(Command):
    """Alarm out of service, or back."""

    key, shown, label = "o", "o", "out of service"
    help = "Take the alarm under the cursor out of service with a reason, or put it back"

    def run(self, home: "HomeScreen") -> None:
        """Open the form, or append the entry at once."""
        home.service()


class ResetAlarm(Command):
    """Latched alarm let go."""

    key, shown, label = "g", "g", "reset"
    help = "Reset the latched alarm under the cursor: let it go"

    def run(self, home: "HomeScreen") -> None:
        """Append the entry at once."""
        home.reset()


class Turned(Command):
    """Wheels turned."""

    key, shown, label = "t", "t", "turned"
    help = "Enter that wheels were turned"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().turned())


class Washed(Command):
    """Rinds tended."""

    key, shown, label = "r", "r", "rind"
    help = "Enter that rinds were washed, rubbed, brushed, wiped, oiled or scraped"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().washed())


class Salted(Command):
    """Salt put on."""

    key, shown, label = "s", "s", "salted"
    help = "Enter dry salt put on the face of wheels in brine, or on wheels in dry salt"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().salted())


class Lifted(Command):
    """Wheels out of the salt."""

    key, shown, label = "l", "l", "lifted"
    help = "Enter that wheels came out of the brine or off the salt: their salting is over"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().lifted())


class NewWheels(Command):
    """A new make."""

    key, shown, label = "n", "n", "new wheels"
    help = "Enter new wheels: style, number, weight, size, salting and place"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.new_wheels())


class Brine(Command):
    """Brine measured."""

    key, shown, label = "b", "b", "brine"
    help = "Enter a test of a brine: its strength, its pH, how it looks"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.brine_test())


class Moved(Command):
    """Wheels moved."""

    key, shown, label = "m", "m", "moved"
    help = "Enter that wheels were moved to another place"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().moved())


class Note(Command):
    """Free text."""

    key, shown, label = "w", "w", "note"
    help = "Write a note, about some wheels or about nothing in particular"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().noted())


class Ended(Command):
    """Wheels gone."""

    key, shown, label = "e", "e", "ended"
    help = "Enter that wheels were sold, cut or discarded"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.fill_in(home.sheets().ended())


class VoidLast(Command):
    """Last entry void."""

    key, shown, label = "u", "u", "undo"
    help = "Void the last entry made on this dashboard; it stays in the record, marked as void"

    def run(self, home: "HomeScreen") -> None:
        """Open the form."""
        home.void_last()


class Pause(Command):
    """Stop the replay, or go on."""

    key, shown, label, replay = "space", "space", "pause", True
    help = "Stop the replay, or go on"

    def run(self, home: "HomeScreen") -> None:
        """At once."""
        home.controls.pause()


class Faster(Command):
    """Faster replay."""

    key, shown, label, replay = "plus", "+", "faster", True
    help = "Replay faster"

    def run(self, home: "HomeScreen") -> None:
        """At once."""
        home.controls.faster()


class Slower(Command):
    """Slower replay."""

    key, shown, label, replay = "minus", "-", "slower", True
    help = "Replay slower"

    def run(self, home: "HomeScreen") -> None:
        """At once."""
        home.controls.slower()


class NextAlarm(Command):
    """Skip ahead."""

    key, shown, label, replay = "x", "x", "next alarm", True
    help = "Skip to the next alarm of the replay"

    def run(self, home: "HomeScreen") -> None:
        """In a thread, because it may take a while."""
        home.skip()


class Help(Command):
    """The keys."""

    key, shown, label = "question_mark", "?", "help"
    help = "Show all keys"

    def run(self, home: "HomeScreen") -> None:
        """Open the list of keys."""
        home.help()


class Quit(Command):
    """Leave."""

    key, shown, label = "q", "q", "quit"
    help = "Leave the dashboard; recording goes on"

    def run(self, home: "HomeScreen") -> None:
        """At once."""
        home.app.exit()


COMMANDS: tuple[Command, ...] = (
    Pause(),
    Faster(),
    Slower(),
    NextAlarm(),
    Acknowledge(),
    Turned(),
    Salted(),
    Lifted(),
    NewWheels(),
    Brine(),
    Moved(),
    Washed(),
    Note(),
    Ended(),
    VoidLast(),
    Shelve(),
    Suspend(),
    Service(),
    ResetAlarm(),
    Quit(),
    Help(),
)
"""In the order of the footer, which shows as many as fit."""

MOVES = (
    ("↑ ↓ k j", "Move the cursor in a list, or scroll"),
    ("pgup pgdn", "Move further"),
    ("home end", "Go to the first or the last"),
    ("tab", "Go to the next list: alarms, places, wheels in salt"),
    ("enter", "Open what is under the cursor; a click does the same"),
    ("esc", "Close what is open, without writing anything"),
    ("ctrl+s", "Write down what is in a form; enter does the same in a field"),
    ("ctrl+p", "Find a command by its name"),
    ("ctrl+q", "Leave from anywhere"),
)
"""Keys that are no commands."""


def commands(replay: bool) -> tuple[Command, ...]:
    """Those that a live dashboard or a replay has."""
    return tuple(command for command in COMMANDS if replay or not command.replay)


def footer(replay: bool, width: int) -> Line:
    """As many keys with their labels as fit, the way to the others always among them."""
    return tuple(part for command in _fitting(replay, width) for part in _key(command))


def command_at(replay: bool, width: int, x: int) -> Command | None:
    """The command that stands in this cell of the footer."""
    end = 0
    for command in _fitting(replay, width):
        end += width_of(_key(command))
        if x < end:
            return command
    return None


def _fitting(replay: bool, width: int) -> list[Command]:
    *most, last = commands(replay)
    left = width - width_of(_key(last))
    kept = []
    for command in most:
        left -= width_of(_key(command))
        if left < 0:
            break
        kept.append(command)
    return [*kept, last]


def _key(command: Command) -> Line:
    return Part(command.shown, Role.STRONG), Part(f" {command.label}  ", Role.FAINT)


def help_lines(replay: bool, width: int) -> list[Line]:
    """All keys and what they do."""
    rows = [*((command.shown, command.help) for command in commands(replay)), *MOVES]
    column = 2 + max(len(shown) for shown, _ in rows)
    return [
        (Part(pad(shown if index == 0 else "", column), Role.STRONG), Part(text))
        for shown, words in rows
        for index, text in enumerate(wrap(words, width - column))
    ]


def key_table() -> str:
    """All keys as a table in Markdown."""
    rows = [(c.shown, c.help + (" (replay)" if c.replay else "")) for c in COMMANDS]
    body = "\n".join(
        f"| `{shown}` | {words[:1].upper()}{words[1:]} |" for shown, words in [*rows, *MOVES]
    )
    return f"| key | what it does |\n| --- | --- |\n{body}\n"
