"""From a TOML file to the config."""

import os
import re
import tomllib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from cavewatch import styles
from cavewatch.config import texts
from cavewatch.config.changes import change, lent
from cavewatch.config.checks import check
from cavewatch.config.config import Config
from cavewatch.config.faults import ConfigError, Faults, key_name, near_miss
from cavewatch.config.lines import Lines, find
from cavewatch.config.notices import heartbeat_of, notice_of
from cavewatch.config.schema import schema
from cavewatch.config.sensors import LOG_EVERY, broker, log_settings, sensors
from cavewatch.config.tuning import tunings
from cavewatch.core.alarms.texts import Texts
from cavewatch.core.place import Place, TubBrine
from cavewatch.core.reading import Quantity
from cavewatch.core.style import StyleBook

_LARGEST = 1_000_000
"""More is no config but a mistake [bytes]."""

SERVICE_CONFIG = Path("/etc/cavewatch/config.toml")
"""The config of the system's service."""
SERVICE_STORE = Path("/var/lib/cavewatch/cavewatch.sqlite")
"""Where its store is, for the service and for every viewer, unless it says otherwise."""


def default_path() -> Path:
    """Where the config is looked for if nobody names it.

    $CAVEWATCH_CONFIG, else the user's own, else the service's; the user's own where none is there.
    """
    named = os.environ.get("CAVEWATCH_CONFIG")
    if named:
        return Path(named)
    import platformdirs  # noqa: PLC0415 - only where nobody names the file

    own = platformdirs.user_config_path("cavewatch") / "config.toml"
    return SERVICE_CONFIG if SERVICE_CONFIG.exists() and not own.exists() else own


def load(path: Path, what_if: Iterable[str] = ()) -> Config:
    """Read a config file, with some keys changed as `changes.change` says.

    Raises:
        ConfigError: with every fault of the file.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(_LARGEST + 1)
    except FileNotFoundError:
        raise ConfigError(
            [f"{path}: there is no such file; copy config.example.toml there and change it"]
        ) from None
    except (OSError, ValueError) as fault:
        raise ConfigError([f"{path}: the file cannot be read: {fault}"]) from fault
    if len(raw) > _LARGEST:
        raise ConfigError([f"{path}: this is too long to be a config; name another file"])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw[: fault.start].count(b"\n") + 1
        raise ConfigError([f"{path}, line {line}: this is not UTF-8 text; save it so"]) from fault
    return parse(text, path, what_if)


def parse(text: str, path: Path, what_if: Iterable[str] = ()) -> Config:
    """Read the text of a config file; `path` is where it stands; see `load`.

    Raises:
        ConfigError: with every fault of the text.
    """
    lines = find(text)
    raw = _toml(text, str(path), lines)
    loans = change(raw, what_if)
    faults = Faults(str(path), lines)
    values = schema(path.parent).read_keys(raw, (), faults)
    check(values, _place_names(raw), faults)
    book = _style_book(values["style"], faults)
    book = _made_here(book, values["dairy"], faults)
    said = texts.changed(values["alarm_text"] or {}, book, faults)
    faults.settle()
    return _config(values, lent(book, loans), said, path)


def _toml(text: str, file: str, lines: Lines) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise ConfigError([f"{file}: lists or tables are nested too deeply"]) from None
    except ValueError as fault:
        if lines.doubled is not None:  # the parser has the wrong line for this, or none
            path, first, second = lines.doubled
            where = f"{file}, line {second}: {key_name(path)}"
            sentence = f"{where}: this stands on line {first} already; keep one of them"
        else:
            words, _, place = str(fault).partition(" (at line ")
            line = re.match(r"\d+", place)
            where = f"{file}, line {line[0]}" if line else file
            sentence = f"{where}: this is not TOML: {words}"
        raise ConfigError([sentence]) from fault


def _place_names(raw: dict[str, Any]) -> list[str]:
    """Names of all places as written, so that a faulty one is not also called missing."""
    places = raw.get("place")
    tables = (
        [place for place in places if isinstance(place, dict)] if isinstance(places, list) else []
    )
    return [name for place in tables if isinstance(name := place.get("name"), str)]


def _style_book(changes: dict[str, Any] | None, faults: Faults) -> StyleBook:
    readable = {name: table for name, table in (changes or {}).items() if table is not None}
    try:
        return styles.load(readable)
    except styles.StyleError as fault:
        for path, sentence in fault.faults:
            faults.add_sentence(("style", *path), sentence)
        return {}


def _made_here(book: StyleBook, dairy: dict[str, Any] | None, faults: Faults) -> StyleBook:
    """The book with those marked that the dairy makes."""
    made = (dairy or {}).get("styles") or ()
    for name in made if book else ():
        if name not in book:
            near = near_miss(name, list(book)) or "; write the ID of a style of the book"
            faults.add(("dairy", "styles"), f"'{name}' is no style{near}")
    return {name: replace(style, made_here=name in made) for name, style in book.items()}


def _config(values: dict[str, Any], book: StyleBook, said: Texts, path: Path) -> Config:
    """The config from values without fault."""
    dairy, store, log = values["dairy"], values["store"], values["log"]
    places = tuple(map(_place, values["place"]))
    reached = broker(values["mqtt"])
    return Config(
        name=dairy["name"],
        zone=dairy["zone"],
        units=dairy["units"],
        initials=dairy["initials"],
        store_path=store["path"] or _usual_store(path),
        commit_every=store["commit_every"],
        keep_readings=store["keep_readings"],
        places=places,
        sensors=sensors(values, dairy["zone"], reached),
        log=None if log is None else log_settings(log, dairy["zone"]),
        log_every=LOG_EVERY if log is None else log["every"],
        styles=book,
        path=path,
        tunings=tunings(values["tuning"], places),
        alarm_texts=said,
        mqtt=reached,
        bell=dairy["bell"],
        notices=tuple(map(notice_of, values["notice"])),
        heartbeat=heartbeat_of(values["heartbeat"]),
        always_right=values["clock"]["always_right"],
    )


def _usual_store(config: Path) -> Path:
    if config.resolve() == SERVICE_CONFIG.resolve():
        return SERVICE_STORE
    import platformdirs  # noqa: PLC0415

    return platformdirs.user_data_path("cavewatch") / "cavewatch.sqlite"


def _place(values: dict[str, Any]) -> Place:
    brine = values["brine"]
    return Place(
        name=values["name"],
        kind=values["kind"],
        own={quantity: values[quantity] for quantity in Quantity if values[quantity] is not None},
        brine=None
        if brine is None
        else TubBrine(brine["strength"], brine["volume"], brine["temperature"], brine["stirred"]),
        fixed=values["fixed"],
    )
