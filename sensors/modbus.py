"""Modbus RTU transmitters on an RS-485 wire."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from cavewatch.clock import Clock
from cavewatch.core.reading import Reading
from cavewatch.core.sensor import ModbusSettings, RegisterKind
from sensors.decode.registers import SlaveDecoder
from sensors.faults import SensorError
from sensors.polled import Round
from sensors.port import trouble

if TYPE_CHECKING:
    from serial import Serial

_FUNCTIONS = {RegisterKind.INPUT: 4, RegisterKind.HOLDING: 3}


class Wire:
    """All slaves of one wire, asked in turn; one that fails does not keep the others back."""

    def __init__(self, settings: ModbusSettings) -> None:
        self._settings = settings
        self._slaves = [(slave.id, SlaveDecoder(slave)) for slave in settings.slaves]
        self._port: Serial | None = None

    def ask(self, clock: Clock, wait: Callable[[float], bool]) -> Round:
        """One reading of everything."""
        readings: list[Reading] = []
        troubles: list[str] = []
        lost = self._port is not None
        try:
            port = self._port = self._port or self._opened()
            for slave, decoder in self._slaves:
                try:
                    readings += _asked(port, slave, decoder, clock)
                except SensorError as fault:
                    troubles.append(f"slave {slave} {fault}")
                    # An answer names neither its request nor its registers: one that comes late
                    # would be taken for the next one's.
                    if wait(self._settings.timeout):
                        break
                    port.reset_input_buffer()
        # Drivers raise more than OSError: termios.error, ValueError for a rate they do not know.
        except Exception as fault:
            self.let_go()
            troubles.append(trouble(self._settings.port, fault, lost))
        return Round(readings, tuple(troubles))

    def let_go(self) -> None:
        """Close the port."""
        if self._port is not None:
            self._port.close()
            self._port = None

    def _opened(self) -> "Serial":
        from serial import Serial  # noqa: PLC0415  only those who use a port pay for it

        return Serial(
            self._settings.port,
            self._settings.baud,
            parity=self._settings.parity[0].upper(),
            stopbits=self._settings.stop_bits,
            timeout=self._settings.timeout,
            write_timeout=self._settings.timeout,
            exclusive=True,
        )


def _asked(port: "Serial", slave: int, decoder: SlaveDecoder, clock: Clock) -> list[Reading]:
    """The readings of one slave; SensorError if it does not give all of them."""
    import minimalmodbus as modbus  # noqa: PLC0415  as above

    instrument = modbus.Instrument(port, slave)
    words: dict[tuple[RegisterKind, int], int] = {}
    try:
        for request in decoder.requests:
            found = instrument.read_registers(
                request.address, request.count, _FUNCTIONS[request.kind]
            )
            words |= {(request.kind, request.address + i): word for i, word in enumerate(found)}
    except modbus.NoResponseError:
        raise SensorError(
            "does not answer; are its supply, the wires A and B, its id, baud and parity right?"
        ) from None
    except modbus.IllegalRequestError:
        raise SensorError(
            f"has no {request.kind} registers from {request.address} to "
            f"{request.address + request.count - 1}; see its manual for the register map"
        ) from None
    except modbus.SlaveReportedException:
        raise SensorError("says that it cannot answer now") from None
    except modbus.ModbusException:
        raise SensorError("gives damaged answers, as with two slaves of one id") from None
    return decoder.readings(words, clock())
