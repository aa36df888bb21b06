"""The journal's table: appended to, never changed; triggers in the file refuse anything else."""

from cavewatch.core.errors import within
from cavewatch.core.journal import Act, Entry, Made, Noted, from_plain, kind_of, placed, to_plain
from cavewatch.core.text import clean
from cavewatch.store.clocks import Clocks
from cavewatch.store.database import TEXT_LIMIT, cleaned
from cavewatch.store.errors import UnreadableRowError

_INITIALS_LIMIT = 40


class Journal(Clocks):
    """The table `journal`."""

    def append(self, at: float, written: float, by: str, act: Act, *, typed: bool = False) -> Entry:
        """Write an entry; it is on the disk when this returns.

        Args:
            at: when it happened [s since 1970 UTC].
            written: the present [s since 1970 UTC].
            by: initials.
            act: what happened; control characters in its texts, and what a text
                has beyond 2,000 characters, are left out.
            typed: whether a person typed `at` by the clock on the wall, so that it stays
                when the machine's clock is set; other times move with it.

        Raises:
            JournalError: for an act that could not be read back; nothing is written.
        """
        for name, instant in (("the time of an entry", at), ("the time of writing", written)):
            within(name, instant, 0.0, 1e11, "s")
        act = from_plain(cleaned(to_plain(act)))
        by = clean(by, _INITIALS_LIMIT)
        text = self._text(to_plain(act))
        with self._writing() as connection:
            number = connection.execute(
                'INSERT INTO journal (at, written, "by", kind, plain, boot, up, unsure, typed)'
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (at, written, by, kind_of(act), text, *self._written(written), typed),
            ).lastrowid
        assert number is not None
        return Entry(number, float(at), float(written), by, act)

    def entries(self, after: int = 0) -> list[Entry]:
        """The entries numbered above `after`, in the order of writing.

        One that cannot be read costs no other: a note that says so, with file,
        row and reason, stands in its place under its number, so that the maker
        sees it where the entry belongs; the row in the file stays as it is. One that was
        written before the clock was set is given where it belongs.
        """
        rows = self._rows(
            'SELECT id, at, written, "by", plain, boot, up, unsure, typed FROM journal'
            " WHERE id > ? ORDER BY id",
            (after,),
        )
        entries = []
        for number, at, written, by, text, boot, up, unsure, typed in rows:
            entry = Entry(number, at, written, clean(by, _INITIALS_LIMIT), self._act(number, text))
            true = self._placed(boot, up) if unsure else None
            entries.append(entry if true is None else placed(entry, true - written, bool(typed)))
        return entries

    def next_wheel(self) -> int:
        """The number for a new wheel: one above every number that was ever given."""
        given = (entry.act.wheels for entry in self.entries() if isinstance(entry.act, Made))
        return 1 + max((number for wheels in given for number in wheels), default=0)

    def _act(self, number: int, text: str) -> Act:
        try:
            return self._parsed("journal", number, text, from_plain)
        except UnreadableRowError as fault:
            return Noted(clean(str(fault), TEXT_LIMIT))
