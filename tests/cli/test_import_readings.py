"""`cavewatch import readings`: proposed, confirmed, never doubled."""

from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli.importing import taking
from cavewatch.cli.importing.readings import confirmed
from cavewatch.cli.root import main
from cavewatch.core.journal import Against, Noted, SensorChecked
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.store import Store

CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "Europe/Dublin"
initials = "MK"
[store]
path = "dairy.sqlite"
[[place]]
name = "lower cave"
kind = "cave"
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "20 %"
temperature = "12 degC"
"""
WARMTH, DAMP = (Channel("lower cave", quantity) for quantity in Quantity)
START = datetime(2025, 10, 25, 21, 0, tzinfo=UTC)
"""The evening before the end of summer time."""
STEP = 600
N = 60


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "my.toml").write_text(CONFIG)
    return tmp_path


def call(folder: Path, *words: object) -> Result:
    said = ["--config", str(folder / "my.toml"), "import", "readings", *map(str, words)]
    return CliRunner().invoke(main, said)


def moments() -> list[datetime]:
    return [START + timedelta(seconds=STEP * n) for n in range(N)]


def local() -> list[datetime]:
    return [moment.astimezone(ZoneInfo("Europe/Dublin")) for moment in moments()]


def degrees(n: int) -> float:
    return 12 + n % 10 / 10


def kept(folder: Path, channel: Channel) -> dict[float, float | None]:
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        return {r.at: r.value for r in store.readings(channel, 0, 1e10)}


def notes(folder: Path) -> list[str]:
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        return [entry.act.text for entry in store.entries() if isinstance(entry.act, Noted)]


def german(folder: Path) -> Path:
    """Decimal commas and semicolons, local times over the end of summer time."""
    path = folder / "keller.csv"
    lines = ["Datum;Zeit;Temperatur (°C);Feuchte (%)"]
    lines += [
        f"{t:%d.%m.%Y};{t:%H:%M};{str(degrees(n)).replace('.', ',')};88,5"
        for n, t in enumerate(local())
    ]
    path.write_bytes("\n".join(lines).encode("cp1252"))
    return path


def american(folder: Path) -> Path:
    """degF, a header on line two, a byte order mark, a fixed zone in the title."""
    path = folder / "hobby.csv"
    zone = ZoneInfo("Etc/GMT+5")
    lines = ['"Title: 7"', '"#","Date Time, GMT-05:00","Temp, °F","RH, %"']
    lines += [
        f"{n},{t.astimezone(zone):%m/%d/%y %I:%M:%S %p},{degrees(n) * 1.8 + 32:.2f},88.5"
        for n, t in enumerate(moments())
    ]
    path.write_bytes("\r\n".join(lines).encode("utf-8-sig"))
    return path


def seconds(folder: Path) -> Path:
    """Tabs and seconds since 1970, humidity as a fraction."""
    path = folder / "board.tsv"
    lines = ["epoch\ttemp\thum"]
    lines += [f"{int(t.timestamp())}\t{degrees(n)}\t0.885" for n, t in enumerate(moments())]
    path.write_text("\n".join(lines))
    return path


def thousandths(folder: Path) -> Path:
    """Milliseconds since 1970, the newest row first, in UTF-16."""
    path = folder / "phone.csv"
    rows = [f"{int(t.timestamp() * 1000)},{degrees(n)},88.5" for n, t in enumerate(moments())]
    path.write_bytes("\n".join(["ms,Temp C,RH %", *reversed(rows)]).encode("utf-16"))
    return path


@pytest.mark.parametrize("shape", [german, american, seconds, thousandths])
def test_files_of_different_shapes_hold_the_same_readings(folder: Path, shape) -> None:  # type: ignore[no-untyped-def]
    found = call(folder, shape(folder), "--place", "lower cave", "--yes")
    assert found.exit_code == 0, found.output
    assert f"{2 * N} new, 0 there already, 0 refused" in found.output
    warm = kept(folder, WARMTH)
    assert list(warm) == [moment.timestamp() for moment in moments()]
    assert list(warm.values()) == [pytest.approx(degrees(n), abs=0.006) for n in range(N)]
    assert set(kept(folder, DAMP).values()) == {88.5}


def test_the_proposal_says_what_each_column_is_with_an_example(folder: Path) -> None:
    said = call(folder, american(folder), "--place", "lower cave", "--yes").output
    assert "hobby.csv: titles in line 2, columns parted by ','" in said
    assert "time from 'Date Time, GMT-05:00', in the form '%m/%d/%y %I:%M:%S %p'" in said
    assert "in the zone Etc/GMT+5, as the title says" in said
    assert "the first reading is of Sat 25 Oct 2025 22:00:00 IST" in said
    assert "column 'Temp, °F' is lower cave.temperature in degF: '53.60' is 12.0 °C" in said
    assert "column 'RH, %' is lower cave.humidity in %: '88.5' is 88 %" in said
    assert "left out: '#'; if one is meant, say --column 'TITLE = PLACE.temperature'" in said


def test_nothing_is_imported_without_the_makers_word(folder: Path) -> None:
    found = call(folder, german(folder), "--place", "lower cave")
    assert found.exit_code == 1
    assert "column 'Temperatur (°C)' is lower cave.temperature in degC" in found.output
    assert "nothing was imported; if this is right, say --yes" in found.output
    assert not (folder / "dairy.sqlite").exists()


def test_a_file_may_be_given_again_after_rows_were_added(folder: Path) -> None:
    path = seconds(folder)
    call(folder, path, "--place", "lower cave", "--yes")
    with path.open("a") as file:
        file.write(f"\n{int(START.timestamp()) + N * STEP}\t14.0\t0.9\n")
    said = call(folder, path, "--place", "lower cave", "--yes").output
    assert f"2 new, {2 * N} there already, 0 refused" in said
    said = call(folder, path, "--place", "lower cave", "--yes").output
    assert f"0 new, {2 * N + 2} there already, 0 refused" in said
    assert len(kept(folder, WARMTH)) == N + 1


def test_a_value_that_stands_stays_and_is_told(folder: Path) -> None:
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        store.add_readings([Reading(WARMTH, START.timestamp(), 9.0)])
    said = call(folder, seconds(folder), "--place", "lower cave", "--yes").output
    assert f"{2 * N - 1} new, 0 there already" in said
    assert "1 where another value stands, which stays" in said
    assert kept(folder, WARMTH)[START.timestamp()] == 9.0


def test_roll_ups_follow(folder: Path) -> None:
    call(folder, seconds(folder), "--place", "lower cave", "--yes")
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        hours = store.bins(WARMTH, 3600, START.timestamp(), START.timestamp() + N * STEP)
    assert [found.n for found in hours] == [3600 // STEP] * (N * STEP // 3600)
    assert hours[0].mean == pytest.approx(sum(map(degrees, range(6))) / 6)


def test_an_entry_says_what_was_imported_and_only_once(folder: Path) -> None:
    path = german(folder)
    for _ in range(2):
        call(folder, path, "--place", "lower cave", "--yes", "--by", "AB")
    assert notes(folder) == [
        f"imported {2 * N} readings of lower cave.humidity, lower cave.temperature from "
        "'keller.csv', 2025-10-25T22:00:00+01:00 to 2025-10-26T06:50:00+00:00"
    ]


def test_rows_at_fault_are_named_with_line_and_reason_and_the_others_are_read(folder: Path) -> None:
    path = folder / "lower cave.csv"
    rows = [f"{t:%Y-%m-%dT%H:%M}Z,{degrees(n)},88" for n, t in enumerate(moments())]
    rows[3], rows[5], rows[8] = "2025-13-01T10:00Z,12,88", f"{rows[5][:17]},12.x,88", "x" * 30
    rows += ["2120-01-01T10:00Z,12,88", "2025-01-01T10:00Z,12,88", "2025-01-01T10:05Z,12,88"]
    path.write_text("\n".join(["time,temp,rh", *rows]))
    found = call(folder, path, "--yes")
    assert found.exit_code == 0, found.output
    assert f"{2 * N - 5} new, 0 there already, 5 refused" in found.output
    assert "line 5: '2025-13-01T10:00Z' is not a time" in found.output
    assert "line 7: 'temp' holds '12.x', which is not a number" in found.output
    assert "line 10: it has 1 cells where the titles are 3" in found.output
    assert "line 62: '2120-01-01T10:00Z' is still to come" in found.output
    assert "line 63: the time goes back" in found.output
    assert "1 more rows left out that go back in time" in found.output


def test_a_title_or_the_name_of_the_file_tells_the_place(folder: Path) -> None:
    path = folder / "Lower_Cave 2025.csv"
    path.write_text("time,temp,Tub temp\n2025-03-01T10:00Z,12,13\n2025-03-01T10:05Z,12,13\n")
    said = call(folder, path, "--yes").output
    assert "column 'temp' is lower cave.temperature" in said
    assert "column 'Tub temp' is tub.temperature" in said


def test_what_nothing_tells_must_be_said(folder: Path) -> None:
    path = folder / "a.csv"
    path.write_text("time,T1,x\n2025-03-01T10:00Z,12,53.6\n2025-03-01T10:05Z,12,53.6\n")
    found = call(folder, path, "--yes")
    assert found.exit_code == 1
    assert "nothing tells where it was; say it: --place PLACE" in found.output
    assert "left out: 'x'; if one is meant, say --column 'TITLE =" in found.output
    said = call(
        folder, path, "--place", "tub", "--column", "x=LOWER CAVE.temperature [degF]", "--yes"
    )
    assert "4 new" in said.output
    assert set(kept(folder, WARMTH).values()) == {12.0}


def test_a_place_is_told_by_whole_words(folder: Path) -> None:
    path = folder / "bathtub 1.csv"
    path.write_text("time,temp\n2025-03-01T10:00Z,12\n2025-03-01T10:05Z,12\n")
    assert "nothing tells where it was" in call(folder, path, "--yes").output


def test_it_is_told_where_a_sensor_check_corrects_what_was_imported(folder: Path) -> None:
    check = SensorChecked(str(DAMP), Against.TABLE_SALT, 74.0, 1.7, 0.5, fit=True)
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        store.append(START.timestamp() + 3600, START.timestamp() + 3600, "AB", check)
    said = call(folder, seconds(folder), "--place", "lower cave", "--yes").output
    assert "lower cave.humidity is corrected by sensor checks from 2025-10-25T23:00" in said
    assert "lower cave.temperature is corrected" not in said


def test_two_columns_never_feed_one_channel(folder: Path) -> None:
    path = folder / "tub.csv"
    path.write_text("time,T1,T2\n2025-03-01T10:00Z,12,13\n2025-03-01T10:05Z,12,13\n")
    said = call(folder, path, "--yes").output
    assert "'T2' is left out: another column is tub.temperature already" in said
    assert "2 new" in said


def test_the_configs_log_table_says_how_its_files_are_read(folder: Path) -> None:
    with (folder / "my.toml").open("a") as file:
        file.write(
            '[log]\ntime_columns = ["d"]\ntime_format = "%m/%d/%Y %H:%M"\ndelimiter = ";"\n'
            'zone = "UTC"\n[log.fields]\nA7 = { channel = "tub.temperature", unit = "degF" }\n'
        )
    path = folder / "a.csv"
    path.write_text("d;A7\n03/04/2025 10:00;53,6\n03/04/2025 10:05;53,6\n")
    assert "column 'A7' is tub.temperature in degF" in call(folder, path, "--yes").output
    begun = datetime(2025, 3, 4, 10, tzinfo=UTC).timestamp()
    assert kept(folder, Channel("tub", Quantity.TEMPERATURE)) == {begun: 12.0, begun + 300: 12.0}


def test_what_was_written_stays_when_it_is_stopped_and_is_gone_on_with(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(taking, "_AT_ONCE", 30)
    add, calls = Store.add_readings, []

    def stopped(store: Store, readings):  # type: ignore[no-untyped-def]
        calls.append(1)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return add(store, readings)

    path = seconds(folder)
    with monkeypatch.context() as patch:
        patch.setattr(Store, "add_readings", stopped)
        found = call(folder, path, "--place", "lower cave", "--yes")
    assert found.exit_code == 130
    assert "stopped after 60 new; what was written stays" in found.output
    assert len(kept(folder, WARMTH)) == 30
    assert notes(folder)[0].startswith("imported 60 readings")
    said = call(folder, path, "--place", "lower cave", "--yes").output
    assert "60 new, 60 there already" in said
    assert len(kept(folder, WARMTH)) == N


def test_readings_from_before_the_time_kept_are_not_taken_and_told(folder: Path) -> None:
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        store.add_readings([Reading(DAMP, START.timestamp() - 7200, 80.0)])
        store.thin(START.timestamp() + 3600, hours=24)
    said = call(folder, seconds(folder), "--place", "lower cave", "--yes").output
    assert f"{2 * N - 12} new, 0 there already" in said
    assert "12 not taken: single readings are kept for 800 days" in said


def test_imported_times_do_not_make_the_machines_clock_doubted(folder: Path) -> None:
    call(folder, seconds(folder), "--place", "lower cave", "--yes")
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        assert store._rows("SELECT max(sure) FROM channel") == [(0,)]
        assert store._rows("SELECT count(*) FROM unplaced") == [(0,)]


def test_a_slip_is_one_sentence(folder: Path) -> None:
    path = german(folder)
    for words, said in (
        ((path, "--column", "Zeit"), "names no column; write 'TITLE ="),
        ((path, "--column", "No = tub.temperature"), "there is no column 'No' with numbers"),
        ((path, "--column", "Feuchte (%) = tub.warmth"), "names no channel"),
        ((path, "--place", "attic"), "there is no place 'attic'; write one of lower cave, tub"),
        ((path, "--zone", "Mars"), "'Mars' is not a known time zone"),
        ((path, "--time-format", "dd.mm"), "is not a format for times"),
        ((path, "--delimiter", "::"), "cannot part columns"),
    ):
        found = call(folder, *words, "--yes")
        assert found.exit_code == 1, found.output
        assert said in found.output
        assert "Traceback" not in found.output
    assert not (folder / "dairy.sqlite").exists()


def test_hostile_titles_steer_no_terminal(folder: Path) -> None:
    path = folder / "tub.csv"
    path.write_text("time,temp\x1b[31m,x\x07y\n2025-03-01T10:00Z,12,1\n2025-03-01T10:05Z,12,1\n")
    said = call(folder, path, "--yes").output
    assert "2 new" in said
    assert all(line.isprintable() for line in said.splitlines())


@pytest.mark.parametrize(("answer", "said"), [(True, ""), (False, "nothing was imported")])
def test_at_a_terminal_the_maker_is_asked(
    answer: bool, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("click.confirm", lambda _text: answer)
    assert confirmed(sure=False) is answer
    assert capsys.readouterr().out.strip() == said


OWN = (
    "time,place,temperature_degC,temperature_corrected_degC,temperature_status,"
    "humidity_percent,humidity_corrected_percent,humidity_status,dairy\r\n"
)


def test_readings_that_were_exported_come_back_with_their_status(folder: Path) -> None:
    sent = [
        Reading(WARMTH, START.timestamp(), 12.34),
        Reading(WARMTH, START.timestamp() + 60, None, SignalStatus.FAILURE),
        Reading(DAMP, START.timestamp() + 60, 100.0, SignalStatus.OUT_OF_SPECIFICATION),
        Reading(Channel("tub", Quantity.TEMPERATURE), START.timestamp(), 13.5, SignalStatus.CHECK),
    ]
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        store.add_readings(sent)
    out = folder / "readings.csv"
    words = ["--config", str(folder / "my.toml"), "export", "readings", "--out", str(out)]
    exported = CliRunner().invoke(main, words)
    assert exported.exit_code == 0, exported.output
    assert "0 new, 4 there already" in call(folder, out, "--yes").output
    (folder / "dairy.sqlite").unlink()
    assert "4 new, 0 there already, 0 refused" in call(folder, out, "--yes").output
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        back = [r for c in (WARMTH, DAMP, sent[3].channel) for r in store.readings(c, 0, 1e10)]
    assert back == sent


def test_rows_at_fault_in_an_export_are_named(folder: Path) -> None:
    out = folder / "readings.csv"
    rows = [
        "2025-03-01T10:00:00+00:00,lower cave,12.5,12.5,good,,,,Test",
        "2025-03-01T10:01:00,lower cave,12.5,12.5,good,,,,Test",
        "2025-03-01T10:02:00+00:00,attic,12.5,12.5,good,,,,Test",
        "2025-03-01T10:03:00+00:00,lower cave,500,500,good,,,,Test",
        "2025-03-01T10:04:00+00:00,lower cave,1,1,fine,,,,Test",
        "2125-03-01T10:04:00+00:00,lower cave,1,1,good,,,,Test",
    ]
    out.write_text(OWN + "\r\n".join(rows) + "\r\n", newline="")
    said = call(folder, out, "--yes").output
    assert "1 new, 0 there already, 5 refused" in said
    for words in (
        "line 3: '2025-03-01T10:01:00' is not a time with an offset",
        "line 4: there is no place 'attic' in the config",
        "line 5: '500' is no temperature",
        "line 6: 'fine' is no status of a signal",
        "line 7: '2125-03-01T10:04:00+00:00' is still to come",
    ):
        assert words in said
