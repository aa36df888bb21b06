"""Readings that are too old go; what they were rolled up into stays."""

from contextlib import closing

from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
HOUR = 3600.0


def filled(store: Store, hours: int) -> None:
    store.add_readings(
        Reading(CAVE, HOUR * hour + 300.0 * n, float(n)) for hour in range(hours) for n in range(12)
    )


def thinned(store: Store, before: float, hours: int = 1) -> int:
    count = 0
    while store.thin(before, hours):
        count += 1
    return count


def test_the_oldest_hours_go_one_transaction_each_and_roll_ups_stay(store: Store) -> None:
    filled(store, 10)
    minutes, hours = store.bins(CAVE, 60, 0, 1e6), store.bins(CAVE, 3600, 0, 1e6)

    assert thinned(store, 6.5 * HOUR) == 6

    assert store.readings(CAVE, 0, 1e6)[0].at == 6 * HOUR
    assert len(store.readings(CAVE, 0, 1e6)) == 4 * 12
    assert store.bins(CAVE, 60, 0, 1e6) == minutes
    assert store.bins(CAVE, 3600, 0, 1e6) == hours
    assert not store.thin(6.9 * HOUR)


def test_an_empty_store_has_nothing_to_thin(store: Store) -> None:
    assert not store.thin(1e9)


def test_a_reading_from_before_the_horizon_changes_no_roll_up(store: Store) -> None:
    filled(store, 10)
    before = store.bins(CAVE, 60, 0, 1e6), store.bins(CAVE, 3600, 0, 1e6)
    thinned(store, 5 * HOUR)

    kept = store.add_readings([Reading(CAVE, 2 * HOUR + 7.0, 99.0), Reading(CAVE, 1e5, 12.0)])

    assert kept == 1
    found = store.bins(CAVE, 60, 0, 10 * HOUR), store.bins(CAVE, 3600, 0, 10 * HOUR)
    assert found == before


def test_gaps_are_passed_over(store: Store) -> None:
    store.add_readings([Reading(CAVE, 10.0, 1.0), Reading(CAVE, 1e6, 2.0), Reading(CAVE, 1e7, 3.0)])

    assert thinned(store, 5e6) == 2

    assert [r.at for r in store.readings(CAVE, 0, 1e9)] == [1e7]


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(0, 8 * 3600), st.floats(0, 20)) | st.integers(0, 9 * 3600),
        max_size=30,
    )
)
def test_in_any_order_of_arriving_and_thinning_nothing_is_rolled_up_from_what_is_left(
    happened: list[tuple[int, float] | int],
) -> None:
    with closing(Store.in_memory()) as thin, closing(Store.in_memory()) as whole:
        horizon = 0.0
        for each in happened:
            if isinstance(each, int):
                oldest = min((r.at for r in thin.readings(CAVE, 0, 1e9)), default=None)
                if thin.thin(float(each)) and oldest is not None:
                    horizon = max(horizon, (oldest // HOUR + 1) * HOUR)
            else:
                at, value = each
                thin.add_readings([Reading(CAVE, float(at), value)])
                if at >= horizon:
                    whole.add_readings([Reading(CAVE, float(at), value)])

        for width in (60, 3600):
            assert thin.bins(CAVE, width, 0, 1e9) == whole.bins(CAVE, width, 0, 1e9)  # type: ignore[arg-type]
