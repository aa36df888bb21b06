"""Roll-ups by the day: made with the readings, kept, mended, brought to older stores."""

import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.clock import SetBy, Stamp
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.store import Store, StoreError, database, migrations

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
TUB = Channel("tub", Quantity.TEMPERATURE)
HOUR, DAY = 3600, 86400
BEGIN = 20_000 * DAY

Rows = list[tuple[int, ...]]


def days(store: Store) -> Rows:
    return store._rows("SELECT ts, ch, n, sum, min, max FROM day ORDER BY ts, ch")


def recounted(store: Store) -> Rows:
    """What the readings that are there come to."""
    return store._rows(
        "SELECT ts / 86400 * 86400, ch, count(v), sum(v), min(v), max(v) FROM reading"
        " WHERE st IS NOT 'C' GROUP BY 1, 2 HAVING count(v) > 0 ORDER BY 1, 2"
    )


readings = st.builds(
    Reading,
    channel=st.sampled_from((CAVE, TUB)),
    at=st.builds(
        lambda hour, second: float(BEGIN + hour * HOUR + second),
        st.integers(-2, 50),
        st.integers(0, 5) | st.integers(3590, 3599),
    ),
    value=st.none() | st.floats(-40, 100),
    status=st.sampled_from(SignalStatus),
)


@settings(deadline=None)
@given(st.lists(st.lists(readings, max_size=20), max_size=4))
def test_days_equal_a_recount_of_the_readings_in_any_order_and_batching(
    batches: list[list[Reading]],
) -> None:
    with closing(Store.in_memory()) as store:
        for batch in batches:
            store.add_readings(batch)
            assert days(store) == recounted(store)


def test_a_day_is_moved_with_its_readings_when_the_clock_is_set(store: Store) -> None:
    store.keep_time(Stamp(100.0, "a", 50.0, None))
    store.add_readings([Reading(CAVE, 90.0, 12.0)])
    assert [ts for ts, *_ in days(store)] == [0]
    store.place(Stamp(BEGIN + 10.0, "a", 60.0, SetBy.NETWORK))
    assert [ts for ts, *_ in days(store)] == [BEGIN - DAY]
    assert days(store) == recounted(store)


def test_a_day_that_is_thinned_out_stays_whole(store: Store) -> None:
    store.add_readings(Reading(CAVE, float(BEGIN + at), at / DAY) for at in range(0, DAY, 600))
    before = days(store)
    assert store.thin(BEGIN + 12.5 * HOUR, hours=12)

    assert days(store) == before
    store.add_readings([Reading(CAVE, BEGIN + 13.0 * HOUR + 7, 50.0)])
    [(_, _, n, _, low, high)] = days(store)
    assert (n, low, high) == (145, 0, 5000)


def test_missing_days_are_mended_from_their_hours_window_by_window(store: Store) -> None:
    store.add_readings(Reading(CAVE, float(BEGIN + at), at / DAY) for at in range(0, 2 * DAY, 600))
    before, hours = days(store), store._rows("SELECT * FROM hour")
    with store._writing() as connection:
        connection.execute("DELETE FROM day")
        connection.execute("DELETE FROM hour")
    for begin in range(BEGIN + 2 * DAY - 6 * HOUR, BEGIN - 1, -6 * HOUR):
        with store._writing():
            store.mend(begin, begin + 6 * HOUR)
    assert store._rows("SELECT * FROM hour") == hours
    assert days(store) == before


def test_a_day_whose_hours_are_lost_stays_as_it_was(store: Store) -> None:
    store.add_readings(Reading(CAVE, float(BEGIN + at), 12.0) for at in range(0, DAY, 600))
    before = days(store)
    with store._writing() as connection:
        for table in ("hour", "minute", "reading"):
            connection.execute(f"DELETE FROM {table} WHERE ts < {BEGIN + 6 * HOUR}")
        store.mend(BEGIN, BEGIN + DAY)
    assert days(store) == before


@pytest.mark.parametrize("length", [1.0, 7.0])
def test_longer_bins_are_made_of_days_and_of_hours_at_their_ends(
    store: Store, length: float
) -> None:
    values = random.Random(3)
    sent = [
        Reading(CAVE, float(BEGIN + at), round(values.uniform(5, 15), 2))
        for at in range(0, 9 * DAY, 601)
    ]
    store.add_readings(sent)
    for since, until in (
        (BEGIN + 5 * HOUR, BEGIN + 8 * DAY + HOUR),
        (BEGIN + DAY, BEGIN + 8 * DAY),
        (BEGIN + 5 * HOUR, BEGIN + 7 * HOUR),
        (BEGIN + 5 * HOUR, BEGIN + DAY + HOUR),
    ):
        counted: dict[float, list[float]] = {}
        for reading in sent:
            if since <= reading.at < until and reading.value is not None:
                counted.setdefault(reading.at // (length * DAY), []).append(reading.value)
        found = store.gathered(CAVE, length * DAY, since, until)
        assert [each.at // (length * DAY) for each in found] == sorted(counted)
        assert [(each.n, each.low, each.high) for each in found] == [
            (len(v), min(v), max(v)) for _, v in sorted(counted.items())
        ]


def as_before(path: Path) -> Rows:
    """Make the file one that was written before days were rolled up; what they were."""
    with closing(Store.open(path)) as store:
        store.add_readings(
            Reading(channel, float(BEGIN + at), 12.0 + at % 7 / 10)
            for channel in (CAVE, TUB)
            for at in range(0, 3 * DAY, 900)
        )
        before = days(store)
        store.thin(BEGIN + DAY, hours=24)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("DROP TABLE day")
        connection.execute("DELETE FROM _sqlite_migrations WHERE name = 'days'")
        connection.execute("PRAGMA user_version = 2")
    return before


def test_an_older_store_gets_its_days_from_its_hours(path: Path) -> None:
    before = as_before(path)
    with closing(Store.open(path)) as store:
        assert days(store) == before
        assert store._rows("PRAGMA user_version") == [(database.VERSION,)]


def test_an_older_store_that_cannot_be_brought_up_to_date_stays_as_it_was(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = as_before(path)
    steps = migrations.Migrations("cavewatch")
    for step in (migrations.first_tables, migrations.clocks, migrations.days):
        steps()(step)

    @steps()
    def broken(db: migrations.Database) -> None:
        db.executescript("CREATE TABLE cellar (id INTEGER); INSERT INTO nowhere VALUES (7);")

    with monkeypatch.context() as patch:
        patch.setattr(migrations, "steps", steps)
        with pytest.raises(StoreError, match="nowhere"):
            Store.open(path)
    with closing(sqlite3.connect(path)) as connection:
        names = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
        assert not {"day", "cellar"} & names
        assert connection.execute("PRAGMA user_version").fetchall() == [(2,)]
    with closing(Store.open(path)) as store:
        assert days(store) == before
