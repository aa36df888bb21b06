"""Notices: messages to a maker who is not looking at a screen, as pure values and one pure step."""

from cavewatch.core.notices.settings import PLACEHOLDERS, Heartbeat, Notice, Quiet
from cavewatch.core.notices.telling import CALM, Call, Kind, Ledger, Message, sent, step

__all__ = [
    "CALM",
    "PLACEHOLDERS",
    "Call",
    "Heartbeat",
    "Kind",
    "Ledger",
    "Message",
    "Notice",
    "Quiet",
    "sent",
    "step",
]
