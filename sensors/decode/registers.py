"""The registers of one Modbus slave to its readings."""

import struct
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cavewatch.core.reading import Reading
from cavewatch.core.sensor import Register, RegisterKind, RegisterType, SlaveSettings
from sensors.decode.values import measured

_MOST = 125
"""Registers that one request may ask for (Modbus application protocol; from memory)."""
_FORMS = {
    RegisterType.INT16: ">h",
    RegisterType.UINT16: ">H",
    RegisterType.INT32: ">i",
    RegisterType.UINT32: ">I",
    RegisterType.FLOAT32: ">f",
}

Words = Mapping[tuple[RegisterKind, int], int]
"""What stands in registers, by kind and address; each from 0 to 65535."""


@dataclass(frozen=True, slots=True)
class Request:
    """Registers that lie side by side and are read together."""

    kind: RegisterKind
    address: int
    """Of the first of them."""
    count: int


class SlaveDecoder:
    """Says what to ask of one slave, and reads its answers."""

    def __init__(self, settings: SlaveSettings) -> None:
        self._fields = [
            (settings.registers[name], field) for name, field in settings.fields.items()
        ]
        self.requests = requests(register for register, _ in self._fields)

    def readings(self, words: Words, at: float) -> list[Reading]:
        """The readings of one round, in which every request was answered.

        Args:
            words: what stands in every register that the requests name.
            at: when the answers came [s since 1970 UTC].
        """
        return [measured(field, at, number(register, words)) for register, field in self._fields]


def requests(registers: Iterable[Register]) -> list[Request]:
    """The fewest requests that read these registers and none between them.

    Many slaves refuse a request that touches a register which they do not have.
    """
    made: list[Request] = []
    spans = ((register.kind, register.address, register.type.words) for register in registers)
    for kind, address, words in sorted(spans):
        last = made[-1] if made else None
        if last and last.kind is kind and address <= last.address + last.count:
            count = max(last.count, address + words - last.address)
            if count <= _MOST:
                made[-1] = Request(kind, last.address, count)
                continue
        made.append(Request(kind, address, words))
    return made


def number(register: Register, words: Words) -> float:
    """The number in a register, in its field's unit; nan and inf as a float32 sends them."""
    places = range(register.address, register.address + register.type.words)
    held = [words[register.kind, place] for place in places]
    if register.low_word_first:
        held.reverse()
    packed = b"".join(word.to_bytes(2, "big") for word in held)
    (value,) = struct.unpack(_FORMS[register.type], packed)
    return float(value * register.scale)
