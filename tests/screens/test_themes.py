"""The colours: contrast, and whether roles stay apart for the colour-blind.

Contrast by the formula of WCAG 2 (relative luminance, contrast ratio; from memory); its
success criteria ask for 4.5 (1.4.3, AA) and 7 (1.4.6, AAA).

Confusion is simulated with the matrices of Machado, Oliveira and Fernandes, A Physiologically-based
Model for Simulation of Color Vision Deficiency, IEEE TVCG 15 (2009), severity 1.0, for linear
sRGB; read in five public programs that agree on every digit, not in the paper. Distances
are CIE 1976 in L*a*b* (D65; formulas from memory), where 2.3 is just noticed by people
who look for it (from memory); what is asked for here is judgement.
"""

from types import SimpleNamespace
from typing import Any

import pytest
from textual.color import Color
from textual.theme import Theme

from cavewatch.screens.lines import Role
from cavewatch.screens.painted import Lines
from cavewatch.screens.theme import DARK, LIGHT, SIXTEEN, offered

AA, AAA = 4.5, 7.0
APART = 20.0
"""Least distance of an alert from all that is calm."""
HALF_APART = 10.0
"""Least distance of a caution from an alert and from what is calm."""
THEMES = [DARK, LIGHT]
NAMES = ["dark", "light"]
VISION = {
    "normal": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
Triple = tuple[float, float, float]


def linear(color: str) -> Triple:
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in Color.parse(color).normalized
    )
    return red, green, blue


def times(matrix: tuple[Triple, ...], vector: Triple) -> Triple:
    first, second, third = (
        sum(factor * part for factor, part in zip(row, vector, strict=True)) for row in matrix
    )
    return first, second, third


def seen(color: str, vision: str) -> Triple:
    red, green, blue = (min(1.0, max(0.0, p)) for p in times(VISION[vision], linear(color)))
    return red, green, blue


def luminance(light: Triple) -> float:
    return sum(f * part for f, part in zip((0.2126, 0.7152, 0.0722), light, strict=True))


def contrast(one: Triple, other: Triple) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def lab(light: Triple) -> Triple:
    matrix = (
        (0.4124, 0.3576, 0.1805),
        (0.2126, 0.7152, 0.0722),
        (0.0193, 0.1192, 0.9505),
    )
    x, y, z = (
        t ** (1 / 3) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116
        for t in (
            part / white
            for part, white in zip(times(matrix, light), (0.95047, 1.0, 1.08883), strict=True)
        )
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def distance(one: Triple, other: Triple) -> float:
    return float(sum((a - b) ** 2 for a, b in zip(lab(one), lab(other), strict=True)) ** 0.5)


def role(theme: Theme, name: Role) -> str:
    if name is Role.PLAIN:
        assert theme.foreground is not None
        return theme.foreground
    return theme.variables[name]


def test_the_formulas_agree_with_known_values() -> None:
    assert contrast(linear("#ffffff"), linear("#000000")) == pytest.approx(21.0)
    assert contrast(linear("#777777"), linear("#ffffff")) == pytest.approx(4.48, abs=0.01)
    assert lab(linear("#ffffff")) == pytest.approx((100, 0, 0), abs=0.02)
    assert lab(linear("#ff0000")) == pytest.approx((53.24, 80.09, 67.20), abs=0.05)
    for matrix in VISION.values():
        assert [sum(row) for row in matrix] == pytest.approx([1, 1, 1], abs=2e-6)


@pytest.mark.parametrize("theme", THEMES, ids=NAMES)
@pytest.mark.parametrize("ground", ["background", "surface"])
@pytest.mark.parametrize("vision", VISION)
def test_every_role_can_be_read_on_every_ground(theme: Theme, ground: str, vision: str) -> None:
    below = seen(getattr(theme, ground), vision)
    for name in Role:
        found = contrast(seen(role(theme, name), vision), below)
        assert found >= (AAA if name in (Role.STRONG, Role.ALERT) and vision == "normal" else AA)


@pytest.mark.parametrize("theme", THEMES, ids=NAMES)
def test_what_is_typed_or_chosen_can_be_read(theme: Theme) -> None:
    colours: dict[str, Any] = {**theme.variables, "panel": theme.panel, "plain": theme.foreground}
    for above, below in (
        ("plain", "panel"),
        ("plain", "selected"),
        ("block-cursor-foreground", "block-cursor-background"),
        ("input-cursor-foreground", "input-cursor-background"),
        ("plain", "input-selection-background"),
    ):
        assert contrast(linear(colours[above]), linear(colours[below])) >= AA, (above, below)


@pytest.mark.parametrize("theme", THEMES, ids=NAMES)
@pytest.mark.parametrize("vision", VISION)
def test_an_alert_stands_apart_from_all_that_is_calm(theme: Theme, vision: str) -> None:
    alert = seen(role(theme, Role.ALERT), vision)
    for calm in (Role.PLAIN, Role.FAINT, Role.STRONG):
        assert distance(alert, seen(role(theme, calm), vision)) >= APART, calm


@pytest.mark.parametrize("theme", THEMES, ids=NAMES)
@pytest.mark.parametrize("vision", VISION)
def test_a_caution_is_neither_an_alert_nor_calm(theme: Theme, vision: str) -> None:
    caution = seen(role(theme, Role.CAUTION), vision)
    for other in (Role.ALERT, Role.PLAIN, Role.FAINT):
        assert distance(caution, seen(role(theme, other), vision)) >= HALF_APART, other


@pytest.mark.parametrize("theme", THEMES, ids=NAMES)
def test_an_alert_does_not_stand_apart_by_colour_alone(theme: Theme) -> None:
    assert theme.variables["alert-style"] == "bold"
    others = (Role.FAINT, Role.STRONG, Role.CAUTION)
    assert [theme.variables[f"{name}-style"] for name in others] == ["none"] * 3


@pytest.mark.parametrize("theme", THEMES, ids=NAMES)
def test_on_a_calm_day_all_is_nearly_grey(theme: Theme) -> None:
    for calm in (Role.PLAIN, Role.FAINT, Role.STRONG):
        _, a, b = lab(linear(role(theme, calm)))
        assert (a**2 + b**2) ** 0.5 < 8
    _, a, b = lab(linear(role(theme, Role.ALERT)))
    assert (a**2 + b**2) ** 0.5 > 50


def test_in_16_colours_only_the_terminals_own_are_used_and_roles_differ_by_style() -> None:
    styles = {name: SIXTEEN.variables[f"{name}-style"] for name in Role if name is not Role.PLAIN}
    assert styles == {"faint": "dim", "strong": "none", "caution": "bold", "alert": "bold reverse"}
    assert {SIXTEEN.variables[name] for name in styles} == {"ansi_default"}


@pytest.mark.parametrize(
    ("system", "no_color", "light", "names"),
    [
        ("truecolor", False, False, ["dark", "light", "16 colours"]),
        ("256", False, True, ["light", "16 colours", "dark"]),
        ("standard", False, False, ["16 colours"]),
        (None, False, True, ["16 colours"]),
        ("truecolor", True, True, ["16 colours"]),
    ],
)
def test_a_terminal_is_offered_what_it_can_show(
    system: str | None, no_color: bool, light: bool, names: list[str]
) -> None:
    assert [theme.name for theme in offered(system, no_color, light)] == names


async def test_a_key_goes_round_the_colours_and_says_which(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        grounds = []
        for name in ("light", "16 colours", "dark"):
            await pilot.press("d")
            await pilot.pause()
            assert pilot.app.theme == name
            assert f"Colours: {name}" in scene.shown(pilot.app)[-1]
            grounds.append(pilot.app.page.query_one("#head", Lines).rich_style.bgcolor)
        assert [str(ground.name) for ground in grounds] == ["#f4f3ee", "default", "#191b1c"]


async def test_without_colours_there_is_no_other_theme(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with scene.dashboard(scene.busy()) as pilot:
        await pilot.press("d")
        await pilot.pause()
        assert pilot.app.theme == "16 colours"
        assert "no other colours" in scene.shown(pilot.app)[-1]


async def test_a_terminal_that_says_that_its_ground_is_light_gets_the_light_colours(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLORFGBG", "0;15")
    async with scene.dashboard(scene.busy()) as pilot:
        assert pilot.app.theme == "light"


async def test_units_are_switched_for_this_viewer_on_every_page(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await pilot.press("f")
        await pilot.pause()
        found = "\n".join(scene.shown(pilot.app))
        assert "54.7 °F" in found
        assert "°C" not in found
        assert "5.1 lb each" in found
        await pilot.press("3")
        await pilot.pause()
        assert "5.1 lb, 6.9 x 3.5 in" in "\n".join(scene.shown(pilot.app))
        await pilot.press("f")
        await pilot.pause()
        assert "2.3 kg, 17.6 x 8.8 cm" in "\n".join(scene.shown(pilot.app))
