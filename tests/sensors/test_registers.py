"""Modbus registers: which are asked for together, and what stands in them."""

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.reading import Channel, Quantity, SignalStatus
from cavewatch.core.sensor import (
    Field,
    Register,
    RegisterKind,
    RegisterType,
    SlaveSettings,
    Unit,
)
from sensors.decode.registers import Request, SlaveDecoder, number, requests

INPUT, HOLDING = RegisterKind
WARMTH = Channel("cave", Quantity.TEMPERATURE)


def register(address, kind=INPUT, form=RegisterType.INT16, scale=1.0, low_first=False):
    return Register(address, kind, form, scale, low_first)


def test_registers_side_by_side_are_asked_for_at_once_and_gaps_never_touched():
    asked = requests(
        [
            register(7),
            register(2),
            register(1),
            register(3, form=RegisterType.FLOAT32),
            register(1, HOLDING),
        ]
    )
    assert asked == [Request(HOLDING, 1, 1), Request(INPUT, 1, 4), Request(INPUT, 7, 1)]


@given(
    st.lists(
        st.builds(
            register,
            st.integers(0, 400),
            st.sampled_from(RegisterKind),
            st.sampled_from(RegisterType),
        ),
        min_size=1,
    )
)
def test_requests_cover_every_register_whole_and_nothing_else(registers):
    asked = requests(registers)
    covered = {(r.kind, r.address + i) for r in asked for i in range(r.count)}
    assert covered == {(r.kind, r.address + i) for r in registers for i in range(r.type.words)}
    assert all(1 <= r.count <= 125 for r in asked)
    for one in registers:
        ends = one.address + one.type.words
        assert any(
            r.kind is one.kind and r.address <= one.address and ends <= r.address + r.count
            for r in asked
        )


@pytest.mark.parametrize(
    ("form", "packed", "expected"),
    [
        (RegisterType.INT16, "ff85", -12.3),
        (RegisterType.UINT16, "ff85", 6541.3),
        (RegisterType.INT32, "ffffff85", -12.3),
        (RegisterType.UINT32, "00010000", 6553.6),
        (RegisterType.FLOAT32, "42f60000", 12.3),
    ],
)
def test_numbers_are_read_high_byte_first_and_scaled(form, packed, expected):
    words = struct.unpack(f">{len(packed) // 4}H", bytes.fromhex(packed))
    for low_first in (False, True):
        held = words[::-1] if low_first else words
        found = number(
            register(5, form=form, scale=0.1, low_first=low_first),
            {(INPUT, 5 + i): word for i, word in enumerate(held)},
        )
        assert found == pytest.approx(expected)


@pytest.mark.parametrize(
    ("unit", "offset", "word", "expected"),
    [
        (Unit.CELSIUS, -0.3, 123, 12.0),
        (Unit.FAHRENHEIT, 0.0, 536, 12.0),
        (Unit.CELSIUS, 0.0, 0x7FFF, None),
        (Unit.CELSIUS, 0.0, 0x8000, None),
    ],
)
def test_a_register_gives_a_reading_or_a_failure_like_any_sensor(unit, offset, word, expected):
    field = Field(WARMTH, unit, offset)
    decoder = SlaveDecoder(SlaveSettings(1, {"T": register(1, scale=0.1)}, {"T": field}))
    (reading,) = decoder.readings({(INPUT, 1): word}, 5.0)
    assert (reading.channel, reading.at) == (WARMTH, 5.0)
    assert reading.value == (None if expected is None else pytest.approx(expected))
    assert (reading.status is SignalStatus.FAILURE) == (expected is None)
