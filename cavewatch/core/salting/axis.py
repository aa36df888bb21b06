"""One-dimensional diffusion operators, diagonalised once and kept.

Each shape is a product of axes: a wheel is round x flat, a block three flats,
a ball one radius. On one axis the finite-volume operator with a given
condition at each end is a symmetric matrix up to the cell volumes; its
eigenvectors make a stage of any length one exponential per mode.

Derivation. V dc/dtau = -K c + k b, with cell volumes V, conductances K and
the boundary value b at an end that is held. With W = sqrt(V) the matrix
W^-1 K W^-1 is symmetric positive semi-definite: Q diag(rate) Q^T. The modes
y = Q^T W c then obey dy/dtau = -rate y + Q^T W^-1 k b, each on its own.
Second order in the cell width (patch test and refinement in the tests).
"""

from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

CELLS = 48
"""Cells over a half axis."""

CROWDING = 4.2
"""Cells widen with their depth as sinh(4.2 s): the layer that salt has reached is then
resolved alike at all times, and with 48 cells the mean uptake is within 0.1 % of Crank's
series from D t / L^2 = 0.001 on (L: half thickness or radius)."""


class Geometry(Enum):
    """How the cross-section grows along the axis; the value is the power of the radius."""

    FLAT = 0
    ROUND = 1
    RADIAL = 2


@dataclass(frozen=True)
class Axis:
    """The operator of one axis of unit length, in modes.

    Scale `rates`, `inflow` and `outflow` with 1/length^2 for another length.
    """

    volumes: Array
    """Share of each cell in the axis's volume [-], shape (n,), sum 1."""
    rates: Array
    """Decay of each mode [1/length^2], shape (n,)."""
    to_modes: Array
    """y = to_modes @ c, shape (n, n)."""
    to_cells: Array
    """c = to_cells @ y, shape (n, n)."""
    mean: Array
    """The volume mean is mean @ y, shape (n,); also the modes of c = 1."""
    inflow: tuple[Array, Array]
    """Modes of the source that a held end of value 1 makes, start and finish, each (n,);
    zero where the end is bare."""


def _edges(geometry: Geometry, whole: bool) -> Array:
    """Cell edges on 0..1, crowded towards the ends through which salt may pass."""
    depth = np.sinh(CROWDING * np.linspace(0.0, 1.0, CELLS + 1)) / np.sinh(CROWDING)
    if geometry is Geometry.FLAT and whole:
        return np.concatenate((depth / 2, 1 - depth[-2::-1] / 2))
    return np.asarray(1 - depth[::-1])


@lru_cache(maxsize=32)
def axis(
    geometry: Geometry, whole: bool, held_start: bool = False, held_finish: bool = False
) -> Axis:
    """The operator for these end conditions on an axis of length 1.

    Args:
        geometry: FLAT for a slab, ROUND for a cylinder's radius, RADIAL for a ball's.
        whole: a slab from face to face; False for a half slab from its mirror plane.
        held_start: the start is held at a value (never for a centre or mirror plane).
        held_finish: the finish is held at a value.
    """
    edges = _edges(geometry, whole)
    power = geometry.value
    volumes = np.diff(edges ** (power + 1)) / (power + 1)
    centres = (edges[1:] + edges[:-1]) / 2
    areas = edges**power
    inner = areas[1:-1] / np.diff(centres)
    start = areas[0] / (centres[0] - edges[0]) if held_start else 0.0
    finish = areas[-1] / (edges[-1] - centres[-1]) if held_finish else 0.0
    diagonal = np.concatenate(([start], inner)) + np.concatenate((inner, [finish]))
    matrix = np.diag(diagonal) - np.diag(inner, 1) - np.diag(inner, -1)
    root = np.sqrt(volumes)
    rates, vectors = np.linalg.eigh(matrix / np.outer(root, root))
    rates = np.where(rates < rates[-1] * 1e-13, 0.0, rates)
    total = volumes.sum()
    return Axis(
        volumes=volumes / total,
        rates=rates,
        to_modes=vectors.T * root,
        to_cells=vectors / root[:, None],
        mean=vectors.T @ root / total,
        inflow=(vectors[0] * (start / root[0]), vectors[-1] * (finish / root[-1])),
    )
