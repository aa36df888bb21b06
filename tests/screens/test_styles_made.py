"""Styles that are made here come first in the form for new wheels."""

from dataclasses import replace
from types import SimpleNamespace

from cavewatch.screens.new_wheels import style_field


def test_those_made_here_come_first_and_the_first_is_chosen(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.styles = {
        id: replace(style, made_here=id == "washed-curd") for id, style in desk.styles.items()
    }
    field = style_field(desk)
    assert [id for _, id in field.choices] == ["washed-curd", "alpine", "tomme"]
    assert field.initial == "washed-curd"
