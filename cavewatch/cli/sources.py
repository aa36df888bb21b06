"""What stands behind each sensor of the config."""

from typing import assert_never

from cavewatch.clock import Clock
from cavewatch.core.sensor import ModbusSettings, OneWireSettings, PortSettings, SensorSettings
from sensors.modbus import Wire
from sensors.one_wire import Probe
from sensors.polled import PolledSource
from sensors.port import SerialSource
from sensors.source import Source


def source_of(settings: SensorSettings, clock: Clock) -> Source:
    """A source that is not started yet."""
    match settings:
        case PortSettings():
            return SerialSource(settings, clock)
        case ModbusSettings():
            return PolledSource(settings.name, settings.every, Wire(settings), clock)
        case OneWireSettings():
            return PolledSource(settings.name, settings.every, Probe(settings), clock)
        case other:
            assert_never(other)
