"""Loss by size, against the oldest table that was read.

The Book of Cheese, 1918, table XIX: pounds lost of 100 by cheddar in 20 weeks, by the weight
of the cheese and the temperature of the room. What a wheel of 12.5 lb lost, times surface
over weight of a larger one of the same shape, comes to within a sixth of what was lost by
wheels of 35 lb; those of 45 and 70 lb lost less than so reckoned.
"""

import pytest

LOST = {  # lb: at 40, 50 and 60 degF
    70.0: (2.5, 2.4, 4.2),
    45.0: (2.7, 3.7, 5.1),
    35.0: (3.9, 5.9, 8.5),
    12.5: (4.6, 8.1, 12.0),
}


def reckoned(weight: float, room: int) -> float:
    """Surface over weight goes as the weight to the power of -1/3."""
    return LOST[12.5][room] * (12.5 / weight) ** (1 / 3)


@pytest.mark.parametrize("room", range(3))
def test_surface_over_weight_tells_the_loss_of_a_wheel_near_in_size(room: int) -> None:
    assert reckoned(35.0, room) == pytest.approx(LOST[35.0][room], rel=1 / 6)


def test_much_larger_wheels_lost_no_more_than_by_their_surface() -> None:
    over = [
        (weight, room)
        for weight in (45.0, 70.0)
        for room in range(3)
        if LOST[weight][room] > reckoned(weight, room)
    ]
    assert over == []
