"""The paste of one cheese: salt in its moisture on a grid, taken through stages exactly.

c is salt in moisture [g per 100 g water], an array over the cells of all axes.
A stage is a length of the diffusion clock, the integral of D dt [cm2], during
which each face is held at a value or bare. Because the operator is a sum of
axes, the modes are products and every stage is one exponential:

    y(tau) = exp(-r tau) y0 + phi1 s,   phi1 = (1 - exp(-r tau)) / r

Source: Crank, The Mathematics of Diffusion, for the equation; Newman's product
rule is the special case of all faces held at one value (both held against in
the tests). Second order in the cell width, exact in time.
"""

from collections.abc import Collection, Mapping
from enum import StrEnum
from functools import reduce
from typing import NamedTuple

import numpy as np

from cavewatch.core.salting.axis import Array, Axis, Geometry, axis
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere


class Face(StrEnum):
    """The faces that can differ."""

    TOP = "top"
    BOTTOM = "bottom"
    SIDE = "side"


Faces = Mapping[Face, float]
"""The value each held face is held at [g per 100 g water]; a face left out is bare.
A ball has only its side."""


class Direction(NamedTuple):
    """One axis of a shape."""

    geometry: Geometry
    whole: bool
    """From face to face, rather than from a centre or mirror plane to a face."""
    length: float
    """[cm]"""
    ends: tuple[Face | None, Face | None]
    """The faces at its start and finish; None for a centre or mirror plane."""


def _directions(shape: Shape) -> tuple[Direction, ...]:
    upright = (Face.BOTTOM, Face.TOP)
    outward = (None, Face.SIDE)
    match shape:
        case Cylinder(diameter, height):
            return (
                Direction(Geometry.ROUND, False, diameter / 2, outward),
                Direction(Geometry.FLAT, True, height, upright),
            )
        case Cuboid(length, width, height):
            return (
                Direction(Geometry.FLAT, False, length / 2, outward),
                Direction(Geometry.FLAT, False, width / 2, outward),
                Direction(Geometry.FLAT, True, height, upright),
            )
        case Sphere(diameter):
            return (Direction(Geometry.RADIAL, False, diameter / 2, outward),)


class Paste:
    """Grid and operators of one shape; the salt itself is passed in and out."""

    def __init__(self, shape: Shape) -> None:
        self._directions = _directions(shape)
        self.faces = tuple(face for face in Face if any(face in d.ends for d in self._directions))
        self._volumes = _outer([axis(d.geometry, d.whole).volumes for d in self._directions])

    def fresh(self) -> Array:
        """Paste without salt, shape (cells of each axis)."""
        return np.zeros_like(self._volumes)

    def mean(self, salt: Array) -> float:
        """Volume mean [g per 100 g water]."""
        return float((self._volumes * salt).sum())

    def turned(self, salt: Array) -> Array:
        """Top and bottom exchanged."""
        return salt[..., ::-1] if Face.TOP in self.faces else salt

    def course(self, salt: Array, faces: Faces) -> "Course":
        """What becomes of this salt while these faces are held."""
        return Course(self._directions, salt, faces)


class Course:
    """One stage in modes: any length of it costs one exponential per mode."""

    def __init__(self, directions: tuple[Direction, ...], salt: Array, faces: Faces) -> None:
        self._faces = faces
        self._directions = directions
        self._axes: list[Axis] = [
            axis(d.geometry, d.whole, d.ends[0] in faces, d.ends[1] in faces) for d in directions
        ]
        self._modes = _along(salt, [ax.to_modes for ax in self._axes])
        self._mean = _outer([ax.mean for ax in self._axes])
        self._at_start = float((self._modes * self._mean).sum())
        scaled = [ax.rates / d.length**2 for ax, d in zip(self._axes, directions, strict=True)]
        self._rates: Array = reduce(np.add.outer, scaled)
        self._source = np.zeros_like(salt)
        for index, direction in enumerate(directions):
            for end, face in enumerate(direction.ends):
                if face is not None and face in faces:
                    # Along the other axes the face is uniform: the modes of c = 1.
                    parts = [ax.to_modes.sum(axis=1) for ax in self._axes]
                    parts[index] = self._axes[index].inflow[end] / direction.length**2
                    self._source += faces[face] * _outer(parts)

    def salt(self, tau: float) -> Array:
        """The salt in every cell after `tau` [cm2]."""
        return _along(self._after(tau), [ax.to_cells for ax in self._axes])

    def mean(self, tau: float) -> float:
        """Its volume mean, without working out the cells [g per 100 g water]."""
        return float((self._after(tau) * self._mean).sum())

    def gained(self, faces: Collection[Face], tau: float) -> float:
        """What has come in through some held faces, as a rise of the volume mean."""
        if len(faces) == len(self._faces):
            return self.mean(tau) - self._at_start
        return sum(self.through(face, tau) for face in faces)

    def through(self, face: Face, tau: float) -> float:
        """What has come in through one held face, as a rise of the volume mean.

        In g per 100 g water; over all held faces it sums to the change of the mean.
        """
        phi1 = _phi1(self._rates, tau)
        spent = phi1 * self._modes + _phi2(self._rates, tau, phi1) * self._source
        gained = 0.0
        for index, direction in enumerate(self._directions):
            if face not in direction.ends:
                continue
            end = direction.ends.index(face)
            # A held end takes in k (held value - value of the end cell).
            conductance = float(self._axes[index].inflow[end] @ self._axes[index].mean)
            weights = [ax.mean for ax in self._axes]
            weights[index] = self._axes[index].to_cells[-end]
            at_end = float((spent * _outer(weights)).sum())
            gained += conductance / direction.length**2 * (self._faces[face] * tau - at_end)
        return gained

    def _after(self, tau: float) -> Array:
        grown = _phi1(self._rates, tau) * self._source
        return np.asarray(np.exp(-self._rates * tau) * self._modes + grown)


def _outer(parts: list[Array]) -> Array:
    return np.asarray(reduce(np.multiply.outer, parts))


def _along(values: Array, matrices: list[Array]) -> Array:
    """Apply one matrix along each axis."""
    for index, matrix in enumerate(matrices):
        values = np.moveaxis(np.tensordot(matrix, values, axes=(1, index)), 0, index)
    return values


def _phi1(rates: Array, tau: float) -> Array:
    """(1 - exp(-r tau)) / r, and tau where r is 0."""
    safe = np.where(rates > 0, rates, 1.0)
    return np.where(rates > 0, -np.expm1(-rates * tau) / safe, tau)


def _phi2(rates: Array, tau: float, phi1: Array) -> Array:
    """(tau - phi1) / r, by its series where r tau is small."""
    small = rates * tau < 1e-4
    safe = np.where(small, 1.0, rates)
    series = tau**2 * (0.5 - rates * tau / 6)
    return np.where(small, series, (tau - phi1) / safe)
