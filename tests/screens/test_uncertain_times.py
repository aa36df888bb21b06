"""What screens show, and write, while the machine's clock is not set."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from textual.widgets import Input

from cavewatch import clock
from cavewatch.screens.fields import check
from cavewatch.screens.groups import groups_of
from cavewatch.screens.groups import when as countdown
from cavewatch.screens.sheets import signed


def test_a_countdown_has_a_question_mark_while_the_clock_is_not_set(
    scene: SimpleNamespace,
) -> None:
    dairy = scene.busy().picture()
    sure = [countdown(group, scene.NOW).text for group in groups_of(dairy)]
    unsure = [
        countdown(group, scene.NOW).text for group in groups_of(replace(dairy, clock_sure=False))
    ]

    solved = [group.countdown is not None for group in groups_of(dairy)]
    assert unsure == [
        f"{text}?" if known else text for text, known in zip(sure, solved, strict=True)
    ]
    assert "?" not in "".join(sure)


@pytest.mark.parametrize(
    ("when", "typed"),
    [("now", False), ("20 min ago", False), ("{:%Y-%m-%d %H:%M}", True)],
)
async def test_a_form_says_whether_the_time_was_typed_by_the_clock_on_the_wall(
    scene: SimpleNamespace, when: str, typed: bool
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await pilot.press("t")
        pilot.app.screen.query_one("#when", Input).value = when.format(
            clock.local(scene.NOW - 600.0, desk.zone)
        )
        await pilot.press("ctrl+s")
    assert desk.kept[-1].act.wheels
    assert desk.typed is typed


@pytest.mark.parametrize("sure", [True, False])
def test_a_true_time_may_be_entered_while_the_clock_is_behind(
    scene: SimpleNamespace, sure: bool
) -> None:
    desk = scene.busy()
    when, _ = signed(desk, replace(desk.picture(), clock_sure=sure))
    later = clock.iso(scene.NOW + 7200.0, desk.zone)
    assert bool(check((when,), {"when": later}).faults) is sure
