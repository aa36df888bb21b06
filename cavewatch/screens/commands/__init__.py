"""The commands: one class each, of which footer, palette, page of keys and key table are made."""

from cavewatch.screens.commands.answering import (
    Acknowledge,
    Close,
    ResetAlarm,
    Service,
    Shelve,
    Suspend,
)
from cavewatch.screens.commands.command import Command
from cavewatch.screens.commands.entering import (
    Acidity,
    Assayed,
    Brine,
    BrineDone,
    Ended,
    Lifted,
    MilkUsed,
    Moved,
    NewWheels,
    Note,
    PutIn,
    Salted,
    TakeBack,
    Turned,
    Void,
    Washed,
    Weighed,
)
from cavewatch.screens.commands.going import PAGES, Back, Next, Previous
from cavewatch.screens.commands.listing import LISTING
from cavewatch.screens.commands.looking import LOOKING
from cavewatch.screens.commands.replaying import (
    Faster,
    GoToTime,
    NextAlarm,
    NextEntry,
    Pause,
    Slower,
)
from cavewatch.screens.commands.viewing import Colours, Keys, Quit, Units
from cavewatch.screens.commands.wheels import WHEELS
from cavewatch.screens.where import Where

COMMANDS: tuple[Command, ...] = (
    Back(),
    Previous(),
    Next(),
    Pause(),
    Faster(),
    Slower(),
    NextAlarm(),
    NextEntry(),
    GoToTime(),
    *LOOKING,
    *LISTING,
    *WHEELS,
    Acknowledge(),
    Void(),
    Turned(),
    Salted(),
    Lifted(),
    PutIn(),
    NewWheels(),
    Brine(),
    BrineDone(),
    Moved(),
    Washed(),
    Assayed(),
    Weighed(),
    MilkUsed(),
    Acidity(),
    Note(),
    Ended(),
    TakeBack(),
    Shelve(),
    Suspend(),
    Service(),
    ResetAlarm(),
    Close(),
    *PAGES,
    Units(),
    Colours(),
    Quit(),
    Keys(),
)
"""In the order of the footer, which shows as many as fit; the last is always shown."""


def commands(where: Where, replay: bool) -> tuple[Command, ...]:
    """Those of a page, live or in a replay."""
    return tuple(c for c in COMMANDS if where in c.pages and (replay or not c.replay))


def command_of(key: str, where: Where, replay: bool) -> Command | None:
    """What a key does on a page; None for nothing."""
    return next((c for c in commands(where, replay) if c.key == key), None)


__all__ = ["COMMANDS", "Command", "command_of", "commands"]
