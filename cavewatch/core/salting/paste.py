"""The paste of one cheese: salt in its moisture on a grid, taken through stages exactly.

c is salt in moisture [g per 100 g of the water that was there at the start], an
array over the cells of all axes. A stage is a length of the diffusion clock, the
integral of D dt [cm2], during which each face is held at a value or bare. The
operator is a sum of axes, so the modes are products of the axes' modes and

    y(tau) = y_steady + exp(-r tau) (y(0) - y_steady),   r = r_x + r_y + r_z

in which the exponential is a product of one factor for each axis: the mean after
any length costs one contraction.

Source: Crank, The Mathematics of Diffusion, for the equation; Newman's product
rule is the special case of all faces held at one value (both held against in
the tests). Second order in the cell width, exact in time.
"""

from collections.abc import Mapping
from enum import StrEnum
from functools import cached_property, lru_cache, reduce
from itertools import accumulate, pairwise
from typing import NamedTuple

import numpy as np

from cavewatch.core.salting.axis import Array, End, Geometry, axis, bridge, volumes
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere


class Face(StrEnum):
    """The faces that can differ."""

    TOP = "top"
    BOTTOM = "bottom"
    SIDE = "side"


class Held(NamedTuple):
    """What a face is held at."""

    value: float
    """[g per 100 g water]"""
    salted: bool = False
    """Under dry salt, whose film stands between, rather than in brine."""


Faces = Mapping[Face, Held]
"""What each held face is held at; a face left out is bare. A ball has only its side."""


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
        self.directions = _directions(shape)
        self.faces = tuple(face for face in Face if any(face in d.ends for d in self.directions))
        self.volumes = [volumes(d.geometry, d.whole) for d in self.directions]
        """Share of each cell in the volume, for each axis."""

    @property
    def cells(self) -> tuple[int, ...]:
        """Cells of each axis."""
        return tuple(len(volumes) for volumes in self.volumes)

    def fresh(self) -> Array:
        """Paste without salt, of shape `cells`."""
        return np.zeros(self.cells)

    def mean(self, salt: Array) -> float:
        """Volume mean [g per 100 g water]."""
        return _contracted(salt, self.volumes)

    def course(self, salt: Array, faces: Faces) -> "Course":
        """What becomes of this salt while these faces are held."""
        operator = _operator(self.directions, _ends(self.directions, faces))
        # No salt is no salt in modes too, and most wheels begin so.
        if salt.any():
            modes = _along(salt, [ax.to_modes for ax in operator.axes])
        else:
            modes = np.zeros_like(operator.mean)
        return Course(operator, faces, modes, (0.0, {}))


class _Operator:
    """What courses with the same faces held alike have in common; worked out when asked for.

    Everything is linear in the held values, so one answer for each face is enough.
    """

    def __init__(
        self, directions: tuple[Direction, ...], ends: tuple[tuple[End, End], ...]
    ) -> None:
        self.directions = directions
        self.axes = [
            axis(d.geometry, d.whole, *pair) for d, pair in zip(directions, ends, strict=True)
        ]
        rates = [ax.rates / d.length**2 for ax, d in zip(self.axes, directions, strict=True)]
        self._slopes = -np.concatenate(rates)
        stops = list(accumulate(len(each) for each in rates))
        self._parts = [slice(*pair) for pair in pairwise([0, *stops])]
        self._means = [ax.mean for ax in self.axes]
        self._weights = np.concatenate(self._means)
        self.mean = _outer(self._means)
        """What each product of modes adds to the volume mean; also the modes of c = 1."""
        self._steady: dict[Face, Array] = {}
        self._through: dict[Face, tuple[float, Array]] = {}
        self._delayed: dict[Face, Array] = {}
        self._steady_means: dict[Face, float] = {}
        self._kept_out: dict[tuple[Face, Face], float] = {}

    @cached_property
    def _sums(self) -> Array:
        """Decay of each product of modes [1/cm2]."""
        return -np.asarray(reduce(np.add.outer, [self._slopes[part] for part in self._parts]))

    def decay(self, tau: float) -> list[Array]:
        """What is left of the modes of each axis after `tau` [cm2]."""
        left = np.exp(self._slopes * tau)
        return [left[part] for part in self._parts]

    def mean_left(self, tau: float) -> list[Array]:
        """What of that each mode adds to the mean along its axis."""
        left = np.exp(self._slopes * tau) * self._weights
        return [left[part] for part in self._parts]

    def steady(self, face: Face) -> Array:
        """The modes that are reached in the end with this face at 1 and the others at 0."""
        if face not in self._steady:
            source = np.zeros_like(self.mean)
            for index, end in self._ends(face):
                # Along the other axes the face is uniform: the modes of c = 1.
                parts = list(self._means)
                parts[index] = self.axes[index].inflow[end] / self.directions[index].length ** 2
                source += _outer(parts)
            self._steady[face] = source / self._sums
        return self._steady[face]

    def steady_mean(self, face: Face) -> float:
        """The mean of that state."""
        if face not in self._steady_means:
            self._steady_means[face] = float(np.vdot(self.steady(face), self.mean))
        return self._steady_means[face]

    def conductance(self, face: Face) -> float:
        """What a face takes in per difference between its value and its cells' [1/cm2]."""
        return self._seen(face)[0]

    def kept_out(self, face: Face, held: Face) -> float:
        """Conductance of a face times what its cells have in `steady(held)` [1/cm2]."""
        if (face, held) not in self._kept_out:
            seen = self._seen(face)[1]
            self._kept_out[face, held] = float(np.vdot(self.steady(held), seen))
        return self._kept_out[face, held]

    def delayed(self, face: Face) -> Array:
        """What each mode keeps out of a face until it is gone, as a rise of the volume mean."""
        if face not in self._delayed:
            self._delayed[face] = self._seen(face)[1] / self._sums
        return self._delayed[face]

    def _seen(self, face: Face) -> tuple[float, Array]:
        """A face's conductance, and that times its cells' value for each mode [1/cm2]."""
        if face not in self._through:
            total = 0.0
            seen = np.zeros_like(self.mean)
            for index, end in self._ends(face):
                ax = self.axes[index]
                conductance = ax.conductance[end] / self.directions[index].length ** 2
                weights = list(self._means)
                weights[index] = ax.to_cells[-end]
                total += conductance
                seen += conductance * _outer(weights)
            self._through[face] = total, seen
        return self._through[face]

    def _ends(self, face: Face) -> list[tuple[int, int]]:
        """Axis and end of a face; a block's two pairs of sides are one face."""
        return [
            (index, direction.ends.index(face))
            for index, direction in enumerate(self.directions)
            if face in direction.ends
        ]


@lru_cache(maxsize=12)
def _operator(directions: tuple[Direction, ...], ends: tuple[tuple[End, End], ...]) -> _Operator:
    return _Operator(directions, ends)


class Course:
    """One stage in modes."""

    def __init__(
        self,
        operator: _Operator,
        faces: Faces,
        rest: Array,
        less: tuple[float, Mapping[Face, float]],
    ) -> None:
        """Take what is to decay; `rest` is changed in place.

        Args:
            operator: of the shape with these faces held.
            faces: what each is held at.
            rest: the modes at the start, less those of another steady state.
            less: the base and the excesses over it of that state.
        """
        self.faces = faces
        self._operator = operator
        # A held value that is the same everywhere needs no solving, which is most stages.
        self._base = min((held.value for held in faces.values()), default=0.0)
        self._over = {
            face: held.value - self._base for face, held in faces.items() if held.value > self._base
        }
        self._steady_mean = self._base + sum(
            over * operator.steady_mean(face) for face, over in self._over.items()
        )
        base, overs = less
        self._rest = _added(
            rest,
            operator,
            base - self._base,
            {
                face: overs.get(face, 0.0) - self._over.get(face, 0.0)
                for face in {**overs, **self._over}
            },
        )
        self._flows: dict[Face, tuple[float, Array, float]] = {}

    def mean(self, tau: float) -> float:
        """The volume mean after `tau` [cm2], in g per 100 g water."""
        return self._steady_mean + _contracted(self._rest, self._operator.mean_left(tau))

    def salt(self, tau: float) -> Array:
        """The salt in every cell after `tau` [cm2]."""
        return _along(self._modes(tau), [ax.to_cells for ax in self._operator.axes])

    def sampled(self, tau: float) -> Array:
        """The salt in every other cell and in the outermost ones.

        Enough to tell the extremes of a field without sources, at a fraction of the cost.
        """
        axes = self._operator.axes
        rows = [[*range(0, len(ax.rates) - 1, 2), len(ax.rates) - 1] for ax in axes]
        picked = [ax.to_cells[row] for ax, row in zip(axes, rows, strict=True)]
        return _along(self._modes(tau), picked)

    def later(self, tau: float, faces: Faces, turned: bool = False) -> "Course":
        """The stage that follows from `tau` on, in which these faces are held.

        If it is turned, top and bottom are exchanged first.
        """
        before = self._operator
        after = _operator(before.directions, _ends(before.directions, faces))
        if after is before and not turned:
            return Course(after, faces, self._left(tau), (self._base, self._over))
        modes = self._modes(tau)
        for index, (old, new) in enumerate(zip(before.axes, after.axes, strict=True)):
            upset = turned and Face.TOP in before.directions[index].ends
            if upset or old is not new:
                modes = _on_axis(modes, bridge(old, new, upset), index)
        return Course(after, faces, modes, (0.0, {}))

    def through(self, face: Face, tau: float) -> float:
        """What has come in through one held face, as a rise of the volume mean.

        In g per 100 g water; over all held faces it sums to the change of the mean.
        """
        if tau == 0.0:
            return 0.0
        if face not in self._flows:
            operator = self._operator
            steadily = operator.conductance(face) * self._over.get(face, 0.0) - sum(
                over * operator.kept_out(face, held) for held, over in self._over.items()
            )
            owed = self._rest * operator.delayed(face)
            self._flows[face] = steadily, owed, float(owed.sum())
        steadily, owed, whole = self._flows[face]
        return steadily * tau - whole + _contracted(owed, self._operator.decay(tau))

    def _modes(self, tau: float) -> Array:
        return _added(self._left(tau), self._operator, self._base, self._over)

    def _left(self, tau: float) -> Array:
        left = _outer(self._operator.decay(tau))
        left *= self._rest
        return left


def _added(modes: Array, operator: _Operator, base: float, overs: Mapping[Face, float]) -> Array:
    """The modes, in place, with a steady state added: its base and the excesses over it."""
    if base:
        modes += base * operator.mean
    for face, over in overs.items():
        if over:
            modes += over * operator.steady(face)
    return modes


def _ends(directions: tuple[Direction, ...], faces: Faces) -> tuple[tuple[End, End], ...]:
    return tuple((_end(d.ends[0], faces), _end(d.ends[1], faces)) for d in directions)


def _end(face: Face | None, faces: Faces) -> End:
    if face is None or face not in faces:
        return End.BARE
    return End.SALTED if faces[face].salted else End.WET


def _outer(parts: list[Array]) -> Array:
    return np.asarray(reduce(np.multiply.outer, parts))


def _contracted(values: Array, weights: list[Array]) -> float:
    """The sum of the values weighted along every axis."""
    for weight in reversed(weights):
        values = values @ weight
    return float(values)


def _along(values: Array, matrices: list[Array]) -> Array:
    """Apply one matrix along each axis."""
    for index, matrix in enumerate(matrices):
        values = _on_axis(values, matrix, index)
    return values


def _on_axis(values: Array, matrix: Array, index: int) -> Array:
    """Apply a matrix along one axis."""
    if index == values.ndim - 1:
        return values @ matrix.T
    if index == values.ndim - 2:
        return matrix @ values
    flat = values.reshape(values.shape[index], -1)
    return (matrix @ flat).reshape(len(matrix), *values.shape[1:])
