"""The kernel's text about one one-wire probe to a reading.

The text has two lines (kernel documentation, w1_therm):

    b8 00 4b 46 7f ff 0c 10 1e : crc=1e YES
    b8 00 4b 46 7f ff 0c 10 1e t=11500

The first is what the probe sent just now and whether its check sum is right;
the second is the last answer whose check sum was right, and its temperature in
thousandths of a degree. After a bad check it is an old value that looks new.
"""

import re

from cavewatch.core.reading import Reading
from cavewatch.core.sensor import Field
from sensors.decode.values import measured
from sensors.faults import SensorError

_TEXT = re.compile(
    rb"((?:[0-9a-f]{2} ){9}): crc=[0-9a-f]{2} (YES|NO)\n((?:[0-9a-f]{2} ){9})t=(-?[0-9]{1,6})\n"
)
_SHORT_CIRCUIT = b"00 " * 9
"""The check sum of nothing but zeros is zero, and so right."""
_POWER_ON = 85_000
"""What a probe holds from power-on to its first measurement, with a right check sum. No brine and
no cave is so warm, so it needs no look at the values before it."""


def one_wire(field: Field, text: bytes, at: float) -> Reading:
    """The reading that the kernel's file gives.

    Args:
        field: what the probe feeds.
        text: the whole file.
        at: when it was read [s since 1970 UTC].

    Raises:
        SensorError: where the file holds no fresh temperature; it says why.
    """
    found = _TEXT.fullmatch(text)
    if found is None:
        raise SensorError("what the kernel tells of it is not two lines with crc= and t=")
    sent, verdict, kept, thousandths = found.groups()
    if verdict == b"NO" or sent != kept:
        raise SensorError("the check sum is wrong, as with a long or loose wire")
    if sent == _SHORT_CIRCUIT:
        raise SensorError("it sends nothing but zeros; is the data wire shorted?")
    if int(thousandths) == _POWER_ON:
        raise SensorError("it has just got power and has not measured yet; is its supply loose?")
    return measured(field, at, int(thousandths) / 1000.0)
