"""The planner behind the dashboard: what is asked is worked out in a thread, as for the shell."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Assayed, Entry, Weighed
from cavewatch.core.planner import Answer, Question
from cavewatch.core.style import StyleBook
from cavewatch.store import Store

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from cavewatch.core.salting.countdowns import Rates


class Planning:
    """Answers questions for one dairy; what its own wheels teach is kept until one is entered."""

    def __init__(self) -> None:
        """Nothing is learned yet."""
        self._learned: tuple[int, Rates] = (0, {})

    def of(
        self,
        question: Question,
        dairy: Dairy,
        entries: Sequence[Entry],
        store: Store,
        styles: StyleBook,
        zone: "ZoneInfo",
        now: float,
    ) -> Callable[[], Answer]:
        """The working out of an answer; numpy and the salting core are loaded when it is called.

        Args:
            question: what is asked.
            dairy: the newest picture.
            entries: the journal until then.
            store: with the temperatures that measured wheels had.
            styles: the style book.
            zone: in which waking hours are meant.
            now: [s since 1970 UTC]
        """

        def work() -> Answer:
            from cavewatch.cli.salt.answered import answered  # noqa: PLC0415  loads numpy

            rates = self._rates(dairy, entries, store, styles)
            return answered(question, styles, rates, zone, now)

        return work

    def _rates(
        self, dairy: Dairy, entries: Sequence[Entry], store: Store, styles: StyleBook
    ) -> "Rates":
        from cavewatch.recorder.solver import Solver  # noqa: PLC0415  loads numpy when asked

        newest = entries[-1].id if entries else 0
        known, rates = self._learned
        if known != newest and any(isinstance(e.act, Assayed | Weighed) for e in entries):
            rates = dict(Solver(store, styles).rates(dairy, entries))
            self._learned = newest, rates
        return rates
