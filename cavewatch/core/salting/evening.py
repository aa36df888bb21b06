"""After salting: when the salt is even through the paste, and how it lies until then."""

import numpy as np
from numpy.typing import NDArray

from cavewatch.core.countdown import Span
from cavewatch.core.salting.axis import Array
from cavewatch.core.salting.clock import warmth_factor
from cavewatch.core.salting.paste import Paste
from cavewatch.core.style import Figure

EVEN = 0.10
"""Even means that the saltiest and the least salty part differ by this part of the mean."""
LONGEST = 3650.0
"""[day]"""


def even_after(paste: Paste, salt: Array, diffusivity: Figure, temperature: float) -> Span:
    """Days from the lift until the paste is even.

    No face takes up salt then, so the paste evens out with its own diffusivity and
    that one's own band; the rate factor has no part in it.

    Args:
        paste: of the wheel.
        salt: at the lift, in every cell [g per 100 g water].
        diffusivity: of the paste at 12 degC [cm2/day].
        temperature: where it ages [degC].
    """
    tau = _even_tau(paste, salt)
    factor = warmth_factor(temperature)
    values = (diffusivity.high, diffusivity.value, diffusivity.low)
    low, expected, high = (min(tau / (value * factor), LONGEST) for value in values)
    return Span(low, expected, high)


def cut(paste: Paste, salt: Array, across: int, up: int) -> Array:
    """A half cross-section, for the screen to draw: shape (up, across), the top row first.

    It runs from the middle to the rim; cells outside a ball are NaN. A block is cut
    half way along its width.
    """
    centres = [
        np.concatenate(([0.0], np.cumsum(volumes)))[:-1] + volumes / 2 for volumes in paste.volumes
    ]
    if len(paste.directions) == 1:
        return _ball(centres[0], salt, across, up)
    slice_ = salt if salt.ndim == 2 else salt[:, 0, :]
    # A share of a cylinder's volume is the square of a share of its radius.
    power = 2 if salt.ndim == 2 else 1
    outward = _nearest(centres[0], ((np.arange(across) + 0.5) / across) ** power)
    upward = _nearest(centres[-1], (np.arange(up)[::-1] + 0.5) / up)
    return np.asarray(slice_[np.ix_(outward, upward)].T)


def _ball(centres: Array, salt: Array, across: int, up: int) -> Array:
    x = (np.arange(across) + 0.5) / across
    y = 1 - (np.arange(up) + 0.5) / up * 2
    radius = np.hypot(x[None, :], y[:, None])
    field = salt[_nearest(centres, np.minimum(radius, 1.0) ** 3)]
    return np.where(radius <= 1.0, field, np.nan)


def _nearest(centres: Array, shares: Array) -> NDArray[np.intp]:
    return np.clip(np.searchsorted((centres[1:] + centres[:-1]) / 2, shares), 0, len(centres) - 1)


def _even_tau(paste: Paste, salt: Array) -> float:
    """The diffusion clock until the paste is even [cm2]."""
    course = paste.course(salt, {})
    mean = paste.mean(salt)

    def uneven(tau: float) -> bool:
        field = course.sampled(tau)
        return float(field.max() - field.min()) > EVEN * mean

    if mean <= 0.0 or not uneven(0.0):
        return 0.0
    low, high = 0.0, 0.01
    while uneven(high):
        low, high = high, 2 * high
    while high - low > 0.002 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if uneven(middle) else (low, middle)
    return high
