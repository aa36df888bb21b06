"""The table of alarm states, and its diagram (IEC 62682, read in secondary texts)."""

from pathlib import Path

import pytest

from cavewatch.core.alarms.diagram import diagram
from cavewatch.core.alarms.table import (
    RETURNS,
    SUPPRESSED,
    TRANSITIONS,
    IllegalTransitionError,
    State,
    Trigger,
    after,
    legal,
)

# Every state and every trigger in the order of the classes, written out by hand; "-" is illegal.
DIAGRAM = """
NORM    UNACK   -       -       -       -     -    SHLVD DSUPR OOSRV -     -     -
UNACK   -       RTNUN   L-UNACK ACKED   -     -    SHLVD DSUPR OOSRV -     -     -
ACKED   -       NORM    L-ACKED -       -     -    SHLVD DSUPR OOSRV -     -     -
RTNUN   UNACK   -       -       NORM    -     NORM SHLVD DSUPR OOSRV -     -     -
L-UNACK UNACK   -       -       L-ACKED RTNUN -    SHLVD DSUPR OOSRV -     -     -
L-ACKED UNACK   -       -       -       NORM  -    SHLVD DSUPR OOSRV -     -     -
SHLVD   SHLVD   SHLVD   SHLVD   -       -     -    SHLVD DSUPR OOSRV NORM  UNACK L-UNACK
DSUPR   DSUPR   DSUPR   DSUPR   -       -     -    SHLVD DSUPR OOSRV NORM  UNACK L-UNACK
OOSRV   OOSRV   OOSRV   OOSRV   -       -     -    SHLVD DSUPR OOSRV NORM  UNACK L-UNACK
"""  # fmt: skip


def _state(text: str) -> State:
    return State(f"{text.removeprefix('L-')} LATCHED" if text.startswith("L-") else text)


PAIRS = {
    (_state(row.split()[0]), trigger): None if cell == "-" else _state(cell)
    for row in DIAGRAM.strip().splitlines()
    for trigger, cell in zip(Trigger, row.split()[1:], strict=True)
}


def test_the_pairs_are_all_there() -> None:
    assert set(PAIRS) == {(state, trigger) for state in State for trigger in Trigger}


@pytest.mark.parametrize("state", State)
@pytest.mark.parametrize("trigger", Trigger)
def test_every_state_answers_every_event_as_written_down_here(
    state: State, trigger: Trigger
) -> None:
    wanted = PAIRS[state, trigger]
    assert legal(state, trigger) is (wanted is not None)
    if wanted is not None:
        assert after(state, trigger) is wanted
        return
    before = dict(TRANSITIONS)
    with pytest.raises(IllegalTransitionError, match=f"in state {state} cannot take '{trigger}'"):
        after(state, trigger)
    assert before == TRANSITIONS


def test_whatever_lies_beneath_a_suppressed_alarm_has_a_way_back() -> None:
    assert set(RETURNS) == set(State) - set(SUPPRESSED)
    assert all(legal(held, trigger) for held in SUPPRESSED for trigger in RETURNS.values())


def test_the_diagram_in_the_docs_is_that_of_the_table() -> None:
    text = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert f"```mermaid\n{diagram()}\n```" in text
