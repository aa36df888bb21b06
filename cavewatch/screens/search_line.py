"""The line into which one types what to look for."""

from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Input


class SearchLine(Input):
    """Hidden until it is asked for."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down,tab", "leave(False)", show=False),
        Binding("escape", "leave(True)", show=False),
    ]

    class Left(Message):
        """One is through with it."""

        def __init__(self, given_up: bool) -> None:
            super().__init__()
            self.given_up = given_up
            """True to look for nothing any more."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(
            placeholder="wheel 14, turned, MK, yesterday, 2026-03", compact=True, id=id
        )
        self.display = False

    def action_leave(self, given_up: bool) -> None:
        """Say that one is through."""
        self.post_message(self.Left(given_up))

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_leave(False)
