"""A log file with what lies beside it: the dairy's config, and the journal of what was done."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from cavewatch.config import LOG_EVERY, Config, load
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Entry
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.sensor import LogSettings
from cavewatch.store.journal_file import read
from cavewatch.styles import load as book
from cavewatch.units import System
from sensors.log import LogFile


@dataclass(frozen=True, slots=True)
class Recorded:
    """A dairy as a log and its companions record it."""

    log: LogFile
    config: Config
    """Every place that the log names is in it."""
    entries: tuple[Entry, ...]

    @classmethod
    def opened(cls, log: Path, config_path: Path | None, what_if: Iterable[str] = ()) -> "Recorded":
        """Read week.csv with week.toml (unless a config is named) and week.journal.jsonl.

        Args:
            log: the log file.
            config_path: the config, if another one than that beside the log.
            what_if: changes of the config; see `cavewatch.config.changes.change`.

        Raises:
            CavewatchError: for what cannot be read.
        """
        what_if = tuple(what_if)
        beside = log.with_suffix(".toml")
        if config_path is None and beside.exists():
            config_path = beside
        if config_path is None and what_if:
            raise CavewatchError(
                f"there is no {beside.name} beside {log.name} that --what-if could change; "
                "name one: cavewatch --config my.toml replay ..."
            )
        config = _bare(log) if config_path is None else load(config_path, what_if)
        file = LogFile(log, config.log or LogSettings(fields={}))
        known = {place.name for place in config.places}
        unknown = dict.fromkeys(c.place for c in file.channels if c.place not in known)
        more = tuple(Place(name, PlaceKind.CAVE, {}) for name in unknown)
        journal = log.with_name(f"{log.stem}.journal.jsonl")
        entries = tuple(read(journal)) if journal.exists() else ()
        return cls(file, replace(config, places=config.places + more), entries)


def _bare(log: Path) -> Config:
    """The config of a log that has none beside it: its places are what its titles name."""
    return Config(
        name=log.stem,
        zone="UTC",
        units=System.METRIC,
        initials="",
        store_path=log,
        commit_every=10.0,
        places=(),
        sensors=(),
        log=None,
        log_every=LOG_EVERY,
        styles=book(),
        path=log,
    )
