"""A log run through the recorder without a screen, and the memory that it runs on."""

from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.cli import rehearsal
from cavewatch.cli.recorded import Recorded
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.recorder.memory import Memory
from cavewatch.store import Store

WARMTH = Channel("near cave", Quantity.TEMPERATURE)
START = 1_772_431_200

readings = st.lists(
    st.tuples(st.integers(0, 20_000), st.integers(-500, 3000) | st.none()),
    max_size=40,
    unique_by=lambda reading: reading[0],
).map(sorted)


@given(readings, st.sampled_from([60, 3600]), st.integers(-4000, 8000), st.integers(0, 25_000))
def test_a_rehearsals_memory_rolls_up_as_the_store_does(
    found: list[tuple[int, int | None]], width: int, since: int, length: int
) -> None:
    given_ = [
        Reading(
            WARMTH,
            float(START + at),
            None if v is None else v / 100.0,
            SignalStatus.CHECK if at % 3 == 0 else SignalStatus.GOOD,
        )
        for at, v in found
    ]
    memory = Memory([])
    memory.add_readings(given_)
    span = (float(START + since), float(START + since + length))
    with closing(Store.in_memory()) as store:
        store.add_readings(given_)
        wanted = store.bins(WARMTH, width, *span)  # type: ignore[arg-type]
    got = memory.bins(WARMTH, width, *span)  # type: ignore[arg-type]
    assert [tuple(found) for found in got] == [pytest.approx(tuple(found)) for found in wanted]


@pytest.mark.parametrize("stride", [60.0, 3600.0])
def test_what_comes_out_does_not_depend_on_how_much_is_given_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stride: float
) -> None:
    log = tmp_path / "near.csv"
    rows = [(START + 60 * n, 14.5 if 60 <= n < 120 else 13.5) for n in range(361)]
    lines = ["time,near cave.temperature", *(f"{at},{value}" for at, value in rows if at % 7)]
    log.write_text("\n".join(lines) + "\n", encoding="ascii")
    log.with_suffix(".toml").write_text(
        """
        dairy = { name = "Tests", zone = "UTC" }
        place = [{ name = "near cave", kind = "cave", temperature = [10, 14] }]
        log = { every = "60 s" }
        """,
        encoding="ascii",
    )

    def run() -> rehearsal.Rehearsal:
        found = Recorded.opened(log, None)
        return rehearsal.rehearse(found.log, found.config, found.entries)

    usual = run()
    assert usual.transitions
    monkeypatch.setattr(rehearsal, "STRIDE", stride)
    assert run().transitions == usual.transitions
