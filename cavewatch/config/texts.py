"""What alarms say: the texts that come with Cavewatch, and the maker's changes to them."""

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from cavewatch import units
from cavewatch.config import values
from cavewatch.config.faults import Faults, near_miss
from cavewatch.config.lines import KeyPath, find
from cavewatch.config.tables import Key, Named, Single, Table
from cavewatch.core.alarms.alarm import Priority
from cavewatch.core.alarms.texts import Text, Texts
from cavewatch.core.style import StyleBook
from cavewatch.core.text import VALUE

_LONGEST = 400
"""So that an explanation fits on a small screen [characters]."""


def _sentence(value: Any) -> str:
    """A text in which braces hold nothing but values."""
    words: str = values.text(_LONGEST)(value)
    if re.search(r"[{}]", VALUE.sub("", words)):
        raise values.NotAllowedError(
            "a brace stands in it that holds no value; write such as {12 degC}, {2 K} or {9 g}"
        )
    return words


TEXT = Table(
    {
        "word": Key(Single(values.text(80)), 'word = "too dry"', None),
        "priority": Key(Single(values.one_of(Priority)), 'priority = "low"', None),
        "causes": Key(Single(_sentence), 'causes = "the door"', None),
        "consequence": Key(Single(_sentence), 'consequence = "rinds crack"', None),
        "wheels": Key(Named(Single(_sentence)), 'wheels.gouda = "the rind cracks"', {}),
        "action": Key(Single(_sentence), 'action = "shut the door"', None),
        "respond": Key(
            Single(values.amount(units.duration, 60.0, 90 * 86400.0, "s")), 'respond = "4 h"', None
        ),
    }
)
"""One text; a key that is left out keeps what it was."""


@cache
def shipped() -> Texts:
    """The texts that come with Cavewatch."""
    file = "alarm_texts.toml"
    raw = Path(__file__).with_name(file).read_text(encoding="utf-8")
    faults = Faults(file, find(raw))
    read = {kind: TEXT.read(table, (kind,), faults) for kind, table in tomllib.loads(raw).items()}
    faults.settle()
    return {kind: Text(**text) for kind, text in read.items() if text is not None}


def changed(changes: Mapping[str, dict[str, Any] | None], book: StyleBook, faults: Faults) -> Texts:
    """The texts with a maker's changes; notes what names no text, style or family.

    Args:
        changes: as `TEXT` reads them, by kind of alarm.
        book: the maker's styles.
        faults: where to note.
    """
    texts = dict(shipped())
    known = {*book, *(style.family for style in book.values())}
    for kind, change in changes.items():
        if kind not in texts:
            near = near_miss(kind, texts) or f"; write one of {', '.join(texts)}"
            faults.add(("alarm_text", kind), f"there is no such alarm{near}")
        elif change is not None:
            own = {key: value for key, value in change.items() if value is not None}
            own["wheels"] = {**texts[kind].wheels, **(own.get("wheels") or {})}
            if book:  # a faulty one is reported already, and names nothing here
                _named(own["wheels"], known, ("alarm_text", kind, "wheels"), faults)
            texts[kind] = replace(texts[kind], **own)
    return texts


def _named(wheels: Iterable[str], known: Iterable[str], path: KeyPath, faults: Faults) -> None:
    for name in wheels:
        if name not in known:
            near = near_miss(name, known) or "; write the id of a style, or a family"
            faults.add((*path, name), f"there is no such style or family{near}")
