"""The alarm states and the one table of transitions between them.

Theory of operation. Each alarm is a small machine with a condition that is
abnormal or normal and a person who has or has not acknowledged it. Four
states come of that (the names and mnemonics are those of IEC 62682 and
ANSI/ISA-18.2, alarm state transition diagram; read in secondary texts):

    NORM   normal                               nothing to see
    UNACK  abnormal, unacknowledged             calls for somebody
    ACKED  abnormal, acknowledged               somebody knows
    RTNUN  returned to normal, unacknowledged   it passed, nobody saw it

The engine feeds three events: the condition became abnormal, it became
normal, a person acknowledged. An event that a state has no transition for
changes nothing.
"""

from enum import StrEnum


class State(StrEnum):
    """State of one alarm."""

    NORM = "NORM"
    UNACK = "UNACK"
    ACKED = "ACKED"
    RTNUN = "RTNUN"


class Trigger(StrEnum):
    """What moves an alarm from state to state."""

    ABNORMAL = "abnormal"
    NORMAL = "normal"
    ACKNOWLEDGE = "acknowledge"


TRANSITIONS: dict[tuple[State, Trigger], State] = {
    (State.NORM, Trigger.ABNORMAL): State.UNACK,
    (State.UNACK, Trigger.ACKNOWLEDGE): State.ACKED,
    (State.UNACK, Trigger.NORMAL): State.RTNUN,
    (State.ACKED, Trigger.NORMAL): State.NORM,
    (State.RTNUN, Trigger.ABNORMAL): State.UNACK,  # re-alarm
    (State.RTNUN, Trigger.ACKNOWLEDGE): State.NORM,
}


def after(state: State, trigger: Trigger) -> State:
    """The state that follows; the same one where the table has no transition."""
    return TRANSITIONS.get((state, trigger), state)
