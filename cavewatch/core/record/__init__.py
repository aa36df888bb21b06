"""What is on record, put together for people who must account for it.

Entries as they were written with what became of them (`lines`), alarms with what was done
(`occurrences`), stretches without readings (`gaps`), ages by rules (`ages`), the milk
(`milk`), weights and loss (`weights`), and all of one make together (`makes`).
"""

from cavewatch.core.record.ages import RAW_MILK, Air, Counted, counted, raw_milk
from cavewatch.core.record.gaps import Gap, gaps
from cavewatch.core.record.lines import Line, lines
from cavewatch.core.record.makes import (
    BrineUse,
    MakeSheet,
    Missing,
    RecordError,
    Stood,
    concerns,
    make_sheet,
    whereabouts,
)
from cavewatch.core.record.milk import RawMilk, acidity_of, milk_of, open_lot, raw_days, treatment
from cavewatch.core.record.occurrences import Occurrence, occurrences
from cavewatch.core.record.weights import Weight, WeightCurve, weights

__all__ = [
    "RAW_MILK",
    "Air",
    "BrineUse",
    "Counted",
    "Gap",
    "Line",
    "MakeSheet",
    "Missing",
    "Occurrence",
    "RawMilk",
    "RecordError",
    "Stood",
    "Weight",
    "WeightCurve",
    "acidity_of",
    "concerns",
    "counted",
    "gaps",
    "lines",
    "make_sheet",
    "milk_of",
    "occurrences",
    "open_lot",
    "raw_days",
    "raw_milk",
    "treatment",
    "weights",
    "whereabouts",
]
