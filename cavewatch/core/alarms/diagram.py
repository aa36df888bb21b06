"""The transition table as the diagram in DEVELOPERS.md."""

from cavewatch.core.alarms.table import SUPPRESSED, TRANSITIONS, State

_NOT_SUPPRESSED, _SUPPRESSED = "not_suppressed", "suppressed"


def diagram() -> str:
    """The table as a Mermaid state diagram; what all states of a group share is drawn once."""
    arrows: dict[tuple[str, str], dict[str, None]] = {}
    for (before, trigger), after in TRANSITIONS.items():
        groups = _group(before), _group(after)
        if groups == (_NOT_SUPPRESSED, _NOT_SUPPRESSED):
            ends, words = (_name(before), _name(after)), f"{trigger}"
        elif after in SUPPRESSED and SUPPRESSED[after] is trigger:
            ends, words = groups, f"{trigger} ({after})"
        else:
            inside = _SUPPRESSED if after in SUPPRESSED else _name(after)
            ends, words = (_SUPPRESSED, inside), f"{trigger}"
        arrows.setdefault(ends, {})[words] = None
    lines = [f"{a} --> {b}: {', '.join(words)}" for (a, b), words in arrows.items()]
    outer = [line for line in lines if line.startswith((_NOT_SUPPRESSED, _SUPPRESSED))]
    inner = [line for line in lines if line not in outer]
    return "\n".join(
        [
            "stateDiagram-v2",
            f"    state {_NOT_SUPPRESSED} {{",
            f"        [*] --> {_name(State.NORM)}",
            *(f"        {line}" for line in inner),
            "    }",
            *(f"    {line}" for line in outer),
        ]
    )


def _group(state: State) -> str:
    return _SUPPRESSED if state in SUPPRESSED else _NOT_SUPPRESSED


def _name(state: State) -> str:
    return state.value.replace(" ", "_")
