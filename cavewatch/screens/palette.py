"""The commands in Textual's command palette."""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, cast

from textual.command import DiscoveryHit, Hit, Hits, Provider

from cavewatch.screens.commands import Command, commands

if TYPE_CHECKING:
    from cavewatch.screens.page import Page


class CommandProvider(Provider):
    """Finds a command by its help."""

    def _commands(self) -> Iterator[tuple[Command, partial[None]]]:
        page = cast("Page", self.screen)
        for command in commands(page.where, page.replayed):
            yield command, partial(page.action_give, command.key)

    async def discover(self) -> Hits:
        """All of them, before anything is typed."""
        for command, give in self._commands():
            yield DiscoveryHit(f"{command.label} ({command.shown})", give, help=command.help)

    async def search(self, query: str) -> Hits:
        """Those that match."""
        matcher = self.matcher(query)
        for command, give in self._commands():
            score = matcher.match(f"{command.label}: {command.help}")
            if score > 0:
                words = f"{command.label}: {command.help}"
                yield Hit(score, matcher.highlight(words), give)
