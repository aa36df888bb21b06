"""The rate factor of the style book, fitted to published practice.

Run it with `python tests/reference/fit_rate_factor.py` where Cavewatch is installed, as in
the environment that tests/run makes.

Each row of practice_rows.json says how long a cheese of some size lies in some brine,
and how much salt it has in the end. The core, run with the style's own published
diffusivity and with all faces wet (a fair stand-in for a wheel that floats, is turned
and has its upper face salted, of which the rows say nothing), takes a certain factor on
that diffusivity to agree: factor and diffusivity together are what practice asks for,
and the error of a style's diffusivity is in the spread of the factor.

The error of a row's log factor comes from its ranges, each taken as nine in ten of the
cases: time and weight go together (the longest time is for the heaviest cheese); salt,
strength and temperature go each by itself; and every practice value is good to 30 %.
The salt of a finished cheese was less at the lift by the weight that it lost since.

Model: log factor of a row = shared mean + deviation of its style + error of the row.
The spread of the deviations comes from the restricted likelihood, as the plain one gives
too little of it where styles are few. The band is nine in ten of the styles and carries
the error of the mean too; that the spread itself is known from seven styles only is not
in it (by Student's t it would be a fifth wider in the logarithm). A row that is set apart
has no part in the fit, says why, and counts against the coverage all the same.

Not among the rows, as strength or size was not told: Swiss cheese of 1918 (3-5 days in a
brine that floats an egg), brick of 1918, the white cheese of the ripening table, rules by
the pound alone. The saltiest halloumi (48 h) is near the end of its uptake, which tells
of the partition and not of the rate.
"""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cavewatch.core.salting.guesses import NINE_IN_TEN
from cavewatch.core.salting.usual import explained, wet_all_round
from cavewatch.styles import load

PRACTICE = math.log(1.3) / NINE_IN_TEN
"""Standard deviation of the logarithm of any practice value."""
ROWS = Path(__file__).with_name("practice_rows.json")
BOOK = load()


@dataclass(frozen=True)
class Row:
    """One published practice, as low and high ends."""

    name: str
    style: str
    hours: tuple[float, float]
    grams: tuple[float, float]
    strength: tuple[float, float]
    temperature: tuple[float, float]
    salt: tuple[float, float]
    """At the lift [%]."""
    apart: str
    """Why it has no part in the fit; empty if it has."""


@dataclass(frozen=True)
class Asked:
    """The factor that a row asks for."""

    row: Row
    log: float
    error: float


@dataclass(frozen=True)
class Fit:
    """The log-normal of the factor."""

    mean: float
    """Of the logarithm."""
    spread: float
    """Between styles."""
    error: float
    """Of the mean."""

    @property
    def ends(self) -> tuple[float, float]:
        """The band of the logarithm, the error of its mean included."""
        half = NINE_IN_TEN * math.hypot(self.spread, self.error)
        return self.mean - half, self.mean + half

    @property
    def figure(self) -> tuple[float, float, float]:
        """Low, value and high of the factor as the style book gives them."""
        low, high = self.ends
        return round(math.exp(low), 2), round(math.exp(self.mean), 2), round(math.exp(high), 2)


def rows() -> list[Row]:
    """All rows, with salt as it is at the lift."""
    return [_row(plain) for plain in json.loads(ROWS.read_text())]


def _row(plain: dict[str, Any]) -> Row:
    lost = BOOK[plain["style"]].loss.value / 100 if plain.get("finished", True) else 0.0
    low, high = (salt * (1 - lost) for salt in plain["salt"])
    ranges = (tuple(plain[key]) for key in ("hours", "grams", "strength", "temperature"))
    return Row(plain["name"], plain["style"], *ranges, (low, high), plain.get("apart", ""))


def middle(ends: tuple[float, float]) -> float:
    """The geometric mean."""
    return math.sqrt(ends[0] * ends[1])


def asked(row: Row) -> Asked:
    """The log factor that a row asks for, and its error."""

    def log(**said: float) -> float:
        each = {key: middle(getattr(row, key)) for key in ("hours", "grams", *alone)} | said
        conditions = each["hours"], each["strength"], each["temperature"]
        return explained(wet_all_round(BOOK[row.style], each["grams"], *conditions), each["salt"])

    alone = ("salt", "strength", "temperature")
    ends = [log(hours=row.hours[end], grams=row.grams[end]) for end in (0, 1)]
    halves = [(ends[1] - ends[0]) / 2]
    for key in alone:
        low, high = getattr(row, key)
        halves.append((log(**{key: high}) - log(**{key: low})) / 2)
    error = math.hypot(PRACTICE, *(half / NINE_IN_TEN for half in halves))
    return Asked(row, sum(ends) / 2, error)


def fit(every: Sequence[Asked]) -> Fit:
    """Shared mean and spread between styles; rows set apart are passed over."""
    every = [each for each in every if not each.row.apart]
    logs, errors = (np.array([getattr(each, key) for each in every]) for key in ("log", "error"))
    styles = np.array([each.row.style for each in every])
    alike = (styles[:, None] == styles[None, :]).astype(float)

    def at(spread: float) -> tuple[float, Fit]:
        weights = np.linalg.inv(np.diag(errors**2) + spread**2 * alike)
        mean = float(weights.sum(axis=0) @ logs / weights.sum())
        off = logs - mean
        likely = np.linalg.slogdet(weights)[1] - math.log(weights.sum()) - off @ weights @ off
        return float(likely), Fit(mean, float(spread), float(weights.sum() ** -0.5))

    return max((at(spread) for spread in np.arange(0.0, 2.0, 0.002)), key=lambda each: each[0])[1]


@dataclass(frozen=True)
class Verdict:
    """How the band of all other rows does on one row."""

    asked: Asked
    salt: tuple[float, float]
    """What the band makes of it [%]."""

    @property
    def covered(self) -> bool:
        """Whether the band holds the middle of the row's salt."""
        return self.salt[0] <= middle(self.asked.row.salt) <= self.salt[1]

    @property
    def touched(self) -> bool:
        """Whether it holds any of it."""
        low, high = self.asked.row.salt
        return self.salt[0] <= high and low <= self.salt[1]


def verdicts(every: Sequence[Asked]) -> list[Verdict]:
    """Each row against the fit of all others."""
    found = []
    for each in every:
        row = each.row
        conditions = (middle(ends) for ends in (row.hours, row.strength, row.temperature))
        salt = wet_all_round(BOOK[row.style], middle(row.grams), *conditions)
        low, high = fit([other for other in every if other is not each]).ends
        found.append(Verdict(each, (salt(low), salt(high))))
    return found


def width(found: Fit, style: str, grams: float, strength: float) -> float:
    """Band of the salt from end to end at the time at which the style's aim is expected [-]."""
    aim = BOOK[style].salt.value * (1 - BOOK[style].loss.value / 100)
    short, long = 1.0, 1000.0
    while long - short > 0.01:
        hours = (short + long) / 2
        salt = wet_all_round(BOOK[style], grams, hours, strength, 12.5)
        short, long = (hours, long) if salt(found.mean) < aim else (short, hours)
    low, high = found.ends
    return salt(high) / salt(low)


def trend(every: Sequence[Asked]) -> tuple[float, float]:
    """Slope of the log factor over the log time, and its error, by weighted least squares."""
    every = [each for each in every if not each.row.apart]
    times = np.log([middle(each.row.hours) for each in every])
    weights = np.diag([each.error**-2 for each in every])
    design = np.column_stack((np.ones_like(times), times))
    inverse = np.linalg.inv(design.T @ weights @ design)
    best = inverse @ design.T @ weights @ np.array([each.log for each in every])
    return float(best[1]), float(inverse[1, 1] ** 0.5)


def main() -> None:
    """Print the fit, what each row asks for, and how the band does on rows left out."""
    every = [asked(row) for row in rows()]
    found, all_verdicts = fit(every), verdicts(every)
    print("Rate factor that each row asks for; its salt at the lift, and by the fit of all others:")
    for verdict in all_verdicts:
        row, (low, high) = verdict.asked.row, verdict.salt
        word = "covered" if verdict.covered else "in part" if verdict.touched else "MISSED"
        print(
            f"  {row.name:30} {math.exp(verdict.asked.log):5.2f} x/: "
            f"{math.exp(verdict.asked.error):.2f}   {row.salt[0]:.2f}-{row.salt[1]:.2f} %   "
            f"{low:.2f}-{high:.2f} %  {word}{' (set apart)' if row.apart else ''}"
        )
    low, value, high = found.figure
    print(f"Shared mean {value}, nine in ten of the styles {low} to {high}")
    print(f"  log {found.mean:.3f} +- {found.error:.3f}, between styles {found.spread:.3f}")
    for words, some in (
        ("of the rows fitted", [v for v in all_verdicts if not v.asked.row.apart]),
        ("with those set apart", all_verdicts),
    ):
        middles, parts = sum(v.covered for v in some), sum(v.touched for v in some)
        print(f"Coverage {words}, each left out in turn: {middles} of {len(some)}, {parts} in part")
    widths = [
        width(found, style, grams, strength)
        for style in ("gouda", "tilsit")
        for grams in (2000.0, 4000.0, 12000.0)
        for strength in (18.0, 20.0, 22.0)
    ]
    print(
        "Band of the final salt, semi-hard cheese in 18 to 22 % brine, from end to end: "
        f"a factor of {min(widths):.2f} to {max(widths):.2f}"
    )
    slope, error = trend(every)
    print(
        f"Not in the model: the factor goes with time as t^({slope:.2f} +- {error:.2f}), "
        "slower in long brinings"
    )


if __name__ == "__main__":
    main()
