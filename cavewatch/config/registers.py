"""The register map of a Modbus slave: one that is ready to use by its name, or a table."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cavewatch.config import values
from cavewatch.config.faults import Faults, found, near_miss
from cavewatch.config.lines import KeyPath
from cavewatch.config.tables import Key, Named, Single, Table
from cavewatch.core.sensor import Register, RegisterKind, RegisterType
from cavewatch.units import quoted

READY: Mapping[str, Mapping[str, Register]] = {
    "tenths": {
        "temperature": Register(1, RegisterKind.INPUT, RegisterType.INT16, 0.1),
        "humidity": Register(2, RegisterKind.INPUT, RegisterType.UINT16, 0.1),
    }
}
"""Maps by name. `tenths`: common small transmitters are documented with input registers 1 and 2,
value / 10, temperature signed; that the temperature comes first is from memory."""

REGISTER = Table(
    {
        "address": Key(Single(values.whole(0, 65_535)), "address = 1"),
        "kind": Key(Single(values.one_of(RegisterKind)), 'kind = "input"', RegisterKind.INPUT),
        "type": Key(Single(values.one_of(RegisterType)), 'type = "int16"', RegisterType.INT16),
        "scale": Key(Single(values.amount(None, 1e-6, 1e3, "a factor")), "scale = 0.1"),
        "low_word_first": Key(Single(values.yes_or_no), "low_word_first = true", False),
    }
)


@dataclass(frozen=True, slots=True)
class _RegisterEntry:
    """What a name in a register map stands for."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> Register | None:
        """The register; a number that does not fit below the last address is a fault."""
        details = REGISTER.read(value, path, faults)
        if details is None or None in details.values():
            return None
        register = Register(**details)
        if register.address + register.type.words > 65_536:
            faults.add(
                (*path, "address"), f"{register.type} takes two registers; write at most 65534"
            )
        return register


@dataclass(frozen=True, slots=True)
class _Registers:
    """A register map."""

    table: Named

    def read(self, value: Any, path: KeyPath, faults: Faults) -> Mapping[str, Register] | None:
        """The map of this name, or the one written out."""
        if not isinstance(value, str):
            return self.table.read(value, path, faults)
        if value not in READY:
            near = (
                near_miss(value, READY) or f"; write {' or '.join(map(quoted, READY))}, or a table"
            )
            faults.add(path, f"{found(value)} is no register map that is known here{near}")
        return READY.get(value)


REGISTERS = _Registers(Named(_RegisterEntry()))
