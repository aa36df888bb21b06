"""Readings from before a start, which the watch of a channel goes on from."""

from cavewatch.core.alarms.means import BLOCK
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.recorder.channel import ChannelWatch

CAVE = Channel("cave", Quantity.TEMPERATURE)
BEGIN = 5_000_000 * BLOCK


def test_a_restart_amid_five_minutes_gives_the_same_blocks_as_none() -> None:
    sent = [Reading(CAVE, BEGIN + 20.0 * n, 12.0 + n / 20.0) for n in range(100)]
    age, stop = 120.0, 52
    assert sent[stop].at % BLOCK
    through = ChannelWatch(CAVE, age, BEGIN, None, ())
    for reading in sent:
        through.read(reading, reading.at)
    again = ChannelWatch(CAVE, age, sent[stop].at, sent[stop - 1], ())
    again.recall(sent[:stop])
    for reading in sent[stop:]:
        again.read(reading, reading.at)

    times = [each.at for each in again._blocks]
    assert times == [each.at for each in through._blocks] == sorted(set(times))
    assert again._blocks[-1] == through._blocks[-1]


def test_blocks_that_were_over_at_the_start_are_closed() -> None:
    sent = [Reading(CAVE, BEGIN + 20.0 * n, 12.0) for n in range(20)]
    watch = ChannelWatch(CAVE, 120.0, BEGIN + 40 * BLOCK, sent[-1], ())
    watch.recall(sent)

    assert [each.at for each in watch._blocks] == [BEGIN, BEGIN + BLOCK]
