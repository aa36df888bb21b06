"""What a wheel weighs and holds once salt has gone in and water has come out.

Salt moves through the water that was there at the start, so the field counts
salt per initial water; people see salt per water that remains, and per weight
that remains. For every gram of salt that goes in, so many grams of water come
out (see `cavewatch.core.brine.exchange.water_per_salt`).
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Body:
    """One wheel as it goes to salt, and what salt does to its weight."""

    weight: float
    """[g]"""
    water: float
    """[g]"""
    water_per_salt: float
    """Water that comes out for salt that goes in [g/g]."""

    def salt(self, mean: float) -> float:
        """Salt in the wheel [g] at this mean of the field [g per 100 g initial water]."""
        return mean * self.water / 100.0

    def water_left(self, mean: float) -> float:
        """Water in the wheel [g]."""
        return self.water - self.water_per_salt * self.salt(mean)

    def weight_now(self, mean: float) -> float:
        """What the wheel weighs [g]."""
        return self.weight + (1.0 - self.water_per_salt) * self.salt(mean)

    def salt_percent(self, mean: float) -> float:
        """Salt in the cheese [% of its weight now]."""
        return 100.0 * self.salt(mean) / self.weight_now(mean)

    def salt_in_moisture(self, mean: float) -> float:
        """Salt in the water that remains [g per 100 g]."""
        return 100.0 * self.salt(mean) / self.water_left(mean)

    def mean_at_percent(self, salt_percent: float) -> float:
        """The mean of the field at which the cheese has this salt [% of its weight now]."""
        share = salt_percent / 100.0
        salt = share * self.weight / (1.0 + (self.water_per_salt - 1.0) * share)
        return 100.0 * salt / self.water

    def mean_at_moisture(self, salt_in_moisture: float) -> float:
        """The mean of the field at which the water that remains has this salt [g per 100 g]."""
        share = salt_in_moisture / 100.0
        return 100.0 * share / (1.0 + self.water_per_salt * share)
