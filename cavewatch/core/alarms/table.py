"""The alarm states and the one table of transitions between them.

Theory of operation. Each alarm is a small machine with a condition that is
abnormal or normal and a person who has or has not acknowledged it. The names
and mnemonics are those of IEC 62682 and ANSI/ISA-18.2 (alarm state transition
diagram; read in secondary texts, in which the latched pair has no mnemonic):

    NORM   normal                               nothing to see
    UNACK  abnormal, unacknowledged             calls for somebody
    ACKED  abnormal, acknowledged               somebody knows
    RTNUN  returned to normal, unacknowledged   it passed, nobody saw it
    UNACK LATCHED, ACKED LATCHED                it passed, but is held until it is reset
    SHLVD  shelved                              set aside by a person, until a time
    DSUPR  suppressed by design                 its place is declared not to count, until a time
    OOSRV  out of service                       taken out by a person, until it is put back

A suppressed alarm (the last three) goes on being evaluated: the process events
lead back to the state itself, and what has become of the process meanwhile is
kept beneath. It comes back to what the process then is: calling if it is
abnormal, normal if it is not, and latched if it is held. A call that passed
because what it foretold came true is taken over by the alarm of just that (our
own: the standard has no such event). An event that a state has no transition for
is illegal: it raises and changes nothing; who feeds events asks `legal` first.
"""

from enum import StrEnum

from cavewatch.core.errors import CavewatchError


class State(StrEnum):
    """State of one alarm."""

    NORM = "NORM"
    UNACK = "UNACK"
    ACKED = "ACKED"
    RTNUN = "RTNUN"
    LATCHED_UNACK = "UNACK LATCHED"
    LATCHED_ACKED = "ACKED LATCHED"
    SHLVD = "SHLVD"
    DSUPR = "DSUPR"
    OOSRV = "OOSRV"


class Trigger(StrEnum):
    """What moves an alarm from state to state."""

    ABNORMAL = "abnormal"
    NORMAL = "normal"
    LATCH = "normal while latching"
    ACKNOWLEDGE = "acknowledge"
    RESET = "reset"
    TAKE_OVER = "taken over"
    SHELVE = "shelve"
    SUPPRESS = "suppress by design"
    TAKE_OUT = "take out of service"
    RETURN_NORMAL = "return while normal"
    RETURN_ABNORMAL = "return while abnormal"
    RETURN_LATCHED = "return while latched"


class IllegalTransitionError(CavewatchError):
    """An event that an alarm's state has no transition for."""


SUPPRESSED = {
    State.SHLVD: Trigger.SHELVE,
    State.DSUPR: Trigger.SUPPRESS,
    State.OOSRV: Trigger.TAKE_OUT,
}
"""The states of suppression, and what leads into each."""
CALLING = (State.UNACK, State.RTNUN, State.LATCHED_UNACK)
"""The states that wait to be acknowledged."""

TRANSITIONS: dict[tuple[State, Trigger], State] = {
    (State.NORM, Trigger.ABNORMAL): State.UNACK,
    (State.UNACK, Trigger.ACKNOWLEDGE): State.ACKED,
    (State.UNACK, Trigger.NORMAL): State.RTNUN,
    (State.UNACK, Trigger.LATCH): State.LATCHED_UNACK,
    (State.ACKED, Trigger.NORMAL): State.NORM,
    (State.ACKED, Trigger.LATCH): State.LATCHED_ACKED,
    (State.RTNUN, Trigger.ABNORMAL): State.UNACK,  # re-alarm
    (State.RTNUN, Trigger.ACKNOWLEDGE): State.NORM,
    (State.RTNUN, Trigger.TAKE_OVER): State.NORM,
    (State.LATCHED_UNACK, Trigger.ABNORMAL): State.UNACK,
    (State.LATCHED_UNACK, Trigger.ACKNOWLEDGE): State.LATCHED_ACKED,
    (State.LATCHED_UNACK, Trigger.RESET): State.RTNUN,
    (State.LATCHED_ACKED, Trigger.ABNORMAL): State.UNACK,
    (State.LATCHED_ACKED, Trigger.RESET): State.NORM,
    # Into suppression from everywhere, from one kind to another, and again with another end.
    **{(state, into): held for state in State for held, into in SUPPRESSED.items()},
    **{
        (held, process): held
        for held in SUPPRESSED
        for process in (Trigger.ABNORMAL, Trigger.NORMAL, Trigger.LATCH)
    },
    **{(held, Trigger.RETURN_NORMAL): State.NORM for held in SUPPRESSED},
    **{(held, Trigger.RETURN_ABNORMAL): State.UNACK for held in SUPPRESSED},
    **{(held, Trigger.RETURN_LATCHED): State.LATCHED_UNACK for held in SUPPRESSED},
}

RETURNS: dict[State, Trigger] = {
    State.NORM: Trigger.RETURN_NORMAL,
    State.RTNUN: Trigger.RETURN_NORMAL,
    State.UNACK: Trigger.RETURN_ABNORMAL,
    State.ACKED: Trigger.RETURN_ABNORMAL,
    State.LATCHED_UNACK: Trigger.RETURN_LATCHED,
    State.LATCHED_ACKED: Trigger.RETURN_LATCHED,
}
"""How a suppressed alarm comes back, by its state beneath."""


def legal(state: State, trigger: Trigger) -> bool:
    """True if the table has a transition."""
    return (state, trigger) in TRANSITIONS


def after(state: State, trigger: Trigger) -> State:
    """The state that follows; raise IllegalTransitionError where the table has none."""
    try:
        return TRANSITIONS[state, trigger]
    except KeyError:
        raise IllegalTransitionError(f"an alarm in state {state} cannot take '{trigger}'") from None
