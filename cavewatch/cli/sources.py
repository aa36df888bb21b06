"""What stands behind each sensor of the config.

Each kind is loaded where a dairy has one: the recorder stays for months, and a broker's
connection alone takes 4 MB.
"""

from collections.abc import Callable, Mapping
from typing import assert_never

from cavewatch.clock import Clock
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.sensor import (
    FollowSettings,
    ModbusSettings,
    OneWireSettings,
    PortSettings,
    SensorSettings,
    TopicSettings,
)
from sensors.source import Source


def source_of(
    settings: SensorSettings,
    clock: Clock,
    sure: Callable[[], bool],
    kept: Mapping[Channel, Reading],
) -> Source:
    """A source that is not started yet.

    Args:
        settings: of the sensor.
        clock: the dairy's time.
        sure: whether that is set.
        kept: the newest readings in the store.
    """
    match settings:
        case PortSettings():
            from sensors.port import SerialSource  # noqa: PLC0415

            return SerialSource(settings, clock)
        case ModbusSettings():
            from sensors.modbus import Wire  # noqa: PLC0415
            from sensors.polled import PolledSource  # noqa: PLC0415

            return PolledSource(settings.name, settings.every, Wire(settings), clock)
        case OneWireSettings():
            from sensors.one_wire import Probe  # noqa: PLC0415
            from sensors.polled import PolledSource  # noqa: PLC0415

            return PolledSource(settings.name, settings.every, Probe(settings), clock)
        case TopicSettings():
            from sensors.topic import TopicSource  # noqa: PLC0415

            return TopicSource(settings, clock)
        case FollowSettings():
            from sensors.follow import PACE, GrowingLog  # noqa: PLC0415
            from sensors.polled import PolledSource  # noqa: PLC0415

            times = [kept[field.channel].at for field in settings.feeds if field.channel in kept]
            log = GrowingLog(settings, max(times, default=None), sure)
            return PolledSource(settings.name, min(settings.every, PACE), log, clock)
        case other:
            assert_never(other)
