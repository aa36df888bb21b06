"""What is abnormal in the dairy, with what each alarm has to say about it.

Each module makes the conditions of one sort; the words that a maker may change
come from `cavewatch.core.alarms.texts`, the numbers from what was measured.
"""

from cavewatch.core.alarms.conditions.brine import brine
from cavewatch.core.alarms.conditions.here import Here
from cavewatch.core.alarms.conditions.late import late
from cavewatch.core.alarms.conditions.limit import clash, out_of_range
from cavewatch.core.alarms.conditions.notice import unsent
from cavewatch.core.alarms.conditions.signal import silent, unwatched
from cavewatch.core.alarms.conditions.trend import drift, forecast, rate

__all__ = [
    "Here",
    "brine",
    "clash",
    "drift",
    "forecast",
    "late",
    "out_of_range",
    "rate",
    "silent",
    "unsent",
    "unwatched",
]
