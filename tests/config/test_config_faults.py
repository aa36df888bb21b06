"""Config files with mistakes: all are reported, each with its line and what to write."""

from pathlib import Path

import pytest

from cavewatch.config import ConfigError, default_path, load, parse

GOOD = """\
[dairy]
name = "A dairy"
zone = "UTC"
[[place]]
name = "cave"
kind = "cave"
"""

SENSOR = """\
[[sensor]]
name = "probe"
port = "/dev/a"
[sensor.fields]
T = "cave.temperature"
"""


def faults(text: str, path: Path = Path("c.toml")) -> list[str]:
    with pytest.raises(ConfigError) as caught:
        parse(text, path)
    assert str(caught.value) == "\n".join(caught.value.faults)
    return list(caught.value.faults)


MANY = [
    ("[dairy]", ""),
    ('zone = "Europe/Dublim"', "dairy.zone: 'Europe/Dublim'; did you mean 'Europe/Dublin'?"),
    ('units = "imperial"', "dairy.units: 'imperial'; write metric or us"),
    ("initials = 7", "dairy.initials: 7 is not a text"),
    ("[store]", ""),
    ('path = "/nowhere/at/all.sqlite"', "store.path: make /nowhere/at first"),
    ('commit_every = "2 h"', "store.commit_every: '2 h'; from 1 to 600 (s)"),
    ("[[place]]", "place.kind: missing; write kind = \"cave\""),
    ('name = "lower.cave"', "place.name: 'lower.cave' has a dot"),
    ('temperature = ["14 degC", "10 degC"]', "place.temperature: '14 degC' is not below '10 degC'"),
    ("humidity = [", "place.humidity: 120 is out of range; from 0 to 100 (%)"),
    ("  80, # low", ""),
    ("  120]", ""),
    ("[[place]]", ""),
    ('name = "Upper cave"', ""),
    ('kind = "cav"', "place.kind: 'cav'; rack, room or store; did you mean 'cave'"),
    ("temperature = [10]", "place.temperature: a list is not a range"),
    ("[[place]]", ""),
    ('name = "UPPER CAVE"', "place.name: name of a place on line 15"),
    ('kind = "cave"', ""),
    ("[place.brine]", "place.brine: a cave holds no brine"),
    ('strenght = "20 %"', "place.brine.strenght: no such key; did you mean 'strength'?"),
    ('strength = "250 g/L"', "place.brine.strength: write '250 g/L water'"),
    ("temperature = inf", "place.brine.temperature: inf is out of range"),
    ("[[place]]", "place.brine: a tub needs its brine"),
    ('name = "a name that goes on and on"', "place.name: at most 24"),
    ('kind = "tub"', ""),
    ("[[sensor]]", "sensor.port: missing; write port = "),
    ('name = "one"', ""),
    ('prot = "/dev/a"', "sensor.prot: no such key; did you mean 'port'?"),
    ("baud = true", "sensor.baud: true is not allowed; a whole number from 50"),
    ('columns = ["T"]', "sensor.columns: format 'json' have no columns"),
    ('format = "json"', ""),
    ("every = 0", "sensor.every: 0 is out of range"),
    ("[sensor.fields]", ""),
    ('T = { channel = "Cave.temperature", unit = "%", offset = 11 }',
     "sensor.fields.T.unit: '%' is no unit of temperature; write degC or degF"),
    ('t = "upper cave.temperature"', "sensor.fields.t: name of a field on line 36"),
    ('H = "Upper cave.humid"', "sensor.fields.H.channel: 'Upper cave.humid' names no channel"),
    ("G = 3", "sensor.fields.G: 3 names no channel"),
    ("[[sensor]]", ""),
    ('name = "ONE"', "sensor.name: name of a sensor on line 29"),
    ('port = "/dev/./b"', ""),
    ("[sensor.fields]", ""),
    ('T = "Upper cave.temperature"', ""),
    ("[[sensor]]", ""),
    ('name = "three"', ""),
    ('port = "/dev/b"', "sensor.port: port of a sensor on line 42"),
    ("[sensor.fields]", ""),
    ('T = "Upper cave.temperature"', "sensor.fields.T: fed already from line 44"),
    ("[log]", ""),
    ('time_format = "%d %Q"', "log.time_format: '%d %Q' is not a format for times"),
    ('delimiter = "::"', "log.delimiter: '::' cannot part columns"),
    ('time_columns = ["a", "a"]', "log.time_columns: 'a' stands in the list twice"),
    ("header_line = 0", "log.header_line: 0 is not allowed"),
    (f"year = 0x{'f' * 5000}", "log.year: a huge number is not allowed"),
    ("[log.fields]", ""),
    ('"RH (%)" = { channel = "cellar.humidity" }', "log.fields.\"RH (%)\": there is no place"),
    ("[sensors]", "sensors: no such key; did you mean 'sensor'?"),
    ("[style]", ""),
    ("brie = 3", "style.brie: 3 is no style"),
    ("[style.gouda]", ""),
    ("salt = 90", ""),
]  # fmt: skip


def test_a_file_with_many_mistakes_reports_them_all_with_their_lines() -> None:
    text = "\n".join(line for line, _ in MANY)
    found = faults(text, Path("dairy/config.toml"))
    rest = list(found)
    for number, (_, expected) in enumerate(MANY, start=1):
        if not expected:
            continue
        where, _, words = expected.partition(": ")
        start = f"dairy/config.toml, line {number}: {where}"
        hits = [fault for fault in rest if fault.startswith(start)]
        assert hits, f"nothing about {start}"
        assert all(part in hits[0] for part in words.split("; ")), (expected, hits[0])
        rest.remove(hits[0])
    of_styles = [fault for fault in rest if "gouda" in fault]
    assert of_styles
    assert all(f"line {len(MANY)}: " in fault for fault in of_styles)
    others = [fault.removeprefix("dairy/config.toml, line ") for fault in rest]
    assert [fault.split(";")[0] for fault in others if "gouda" not in fault] == [
        "1: dairy.name: this key is missing",
        "36: sensor.fields.T.offset: 11 is out of range",
        "36: sensor.fields.T: there is no place 'Cave'",
        "37: sensor.fields.t: there is no place 'upper cave'",
        "38: sensor.fields.H: there is no such name among the columns",
        "39: sensor.fields.G: there is no such name among the columns",
    ]
    lines = [int(fault.split("line ")[1].split(":")[0]) for fault in found]
    assert lines == sorted(lines)
    assert all(fault.isprintable() for fault in found)


def test_a_good_file_has_no_fault() -> None:
    config = parse(GOOD + SENSOR, Path("c.toml"))
    assert config.sensors[0].every == 30.0
    assert (config.commit_every, config.log, config.initials) == (10.0, None, "")


def test_an_empty_file_says_what_is_needed() -> None:
    assert [fault.split(";")[0] for fault in faults("")] == [
        "c.toml: dairy: this key is missing",
        "c.toml: place: this key is missing",
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("[dairy]\nname = x\n", "c.toml, line 2: this is not TOML: Invalid value"),
        ("[dairy\n", "c.toml, line 1: this is not TOML"),
        (GOOD + 'kind = "tub"\n', "c.toml, line 7: place.kind: this stands on line 6 already; "),
        (GOOD + "[dairy]\n", "c.toml, line 7: dairy: this stands on line 1 already; "),
        pytest.param(
            "a = " + "[" * 5000, "c.toml: lists or tables are nested too deeply", id="deep"
        ),
    ],
)
def test_what_is_no_toml_is_reported_with_its_line(text: str, fault: str) -> None:
    (found,) = faults(text)
    assert found.startswith(fault)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("[place]\nname = 'x'\n", "line 4: place: a table stands here; write [[place]]"),
        ("place = []\n", "line 4: place: a list stands here; write [[place]]"),
        ("place = [3]\n", "line 4: place: 3 is not a table"),
    ],
)
def test_a_table_in_the_wrong_brackets_is_explained(text: str, fault: str) -> None:
    head = "".join(GOOD.splitlines(keepends=True)[:3])
    text = head + text if text.startswith("[") else text + head
    fault = fault if text.startswith("[dairy") else fault.replace("line 4", "line 1")
    assert fault in faults(text)[0]


def test_a_place_with_a_faulty_name_is_not_also_called_missing() -> None:
    text = (GOOD + SENSOR).replace('"cave"\nkind', '"ca.ve"\nkind').replace("cave.t", "ca.ve.t")
    assert [fault.split(":")[1] for fault in faults(text)] == [" place.name"]


def test_control_characters_of_the_file_never_come_out() -> None:
    text = GOOD.replace("A dairy", "\\u001b[31m").replace('"cave"\nk', '"\\u0007\\u202e"\nk')
    text += '"\\u001b]0;x" = 1\n[[sensor]]\nname = "s"\nport = "a\\nb"\n'
    text += '[sensor.fields]\n"\\u001b" = "\\u001b.temperature"\n'
    text += 'T = "far away.temperature"\n'
    found = faults(text)
    assert len(found) == 7
    assert all(fault.isprintable() for fault in found)


@pytest.mark.parametrize("port", ["/dev/b", "/dev/../dev/b"])
def test_one_port_under_two_names_is_found(port: str, tmp_path: Path) -> None:
    link = tmp_path / "by-id"
    link.symlink_to("/dev/b")
    second = SENSOR.replace("probe", "other").replace("/dev/a", str(link))
    second = second.replace("temperature", "humidity")
    assert parse(GOOD + SENSOR + second, Path("c.toml"))
    (found,) = faults(GOOD + SENSOR.replace("/dev/a", port) + second)
    assert "line 14: sensor.port: this is the port of a sensor on line 9" in found


def test_names_of_fields_must_be_among_the_columns() -> None:
    text = GOOD + SENSOR.replace("[sensor.f", 'columns = ["temp", "H"]\n[sensor.f')
    (found,) = faults(text.replace("\nT =", "\ntmp ="))
    assert "sensor.fields.tmp: there is no such name among the columns; did you mean" in found
    assert parse(text.replace("\nT =", "\nTEMP ="), Path("c.toml")).sensors[0].columns


def test_the_log_takes_the_dairys_zone_and_its_own_silence() -> None:
    text = GOOD.replace("UTC", "Europe/Dublin")
    text += '[log]\nevery = 60\n[log.fields]\nx = "cave.humidity"\n'
    config = parse(text, Path("c.toml"))
    assert config.log is not None
    assert config.log.zone == "Europe/Dublin"
    assert list(config.channels.values()) == [180.0]
    both = parse(text + SENSOR.replace("temperature", "humidity"), Path("c.toml"))
    assert list(both.channels.values()) == [90.0]


def test_values_with_units_and_plain_numbers_mean_the_same() -> None:
    plain = 'kind = "tub"\ntemperature = [10, 15]\n[place.brine]\nstrength = 20\nvolume = 20.0\n'
    typed = plain.replace("[10, 15]", '["50 degF", "59 F"]').replace(" 20\n", ' "20 %"\n')
    typed = typed.replace("20.0", '"20000 mL"')
    both = [
        parse(GOOD.replace('kind = "cave"\n', f"{text}temperature = 12\n"), Path("c.toml"))
        for text in (plain, typed)
    ]
    assert both[0].places == both[1].places


def test_the_store_must_be_a_file_in_a_folder_that_is_there(tmp_path: Path) -> None:
    def text(path: str) -> str:
        return f"{GOOD}[store]\npath = '{path}'\n"

    config = parse(text("x.sqlite"), tmp_path / "config.toml")
    assert config.store_path == tmp_path / "x.sqlite"
    assert parse(text(f"{tmp_path}/y"), Path("c.toml")).store_path == tmp_path / "y"
    for bad, words in [
        (str(tmp_path), "is a folder"),
        ("no/x.sqlite", f"make {tmp_path}/no first"),
        ("x" * 600, "cannot be used as a file"),
        ("~nobody-of-that-name/x", "cannot be used as a file"),
    ]:
        (found,) = faults(text(bad), tmp_path / "config.toml")
        assert words in found


def test_a_file_that_cannot_be_read_is_one_fault(tmp_path: Path) -> None:
    for path, words in [
        (tmp_path / "none.toml", "there is no such file"),
        (tmp_path, "the file cannot be read"),
        (tmp_path / "latin.toml", "line 2: this is not UTF-8 text"),
        (tmp_path / "long.toml", "too long to be a config"),
        (Path("a\0b"), "the file cannot be read"),
    ]:
        if path.suffix == ".toml" and path.stem != "none":
            path.write_bytes(b"#\n# \xe9" if path.stem == "latin" else b"#" * 1_000_001)
        with pytest.raises(ConfigError, match=words) as caught:
            load(path)
        assert len(caught.value.faults) == 1


def test_a_file_from_an_editor_that_marks_utf_8_is_read(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert load(path).name == "A dairy"


def test_the_config_is_looked_for_where_the_environment_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("CAVEWATCH_CONFIG", "/somewhere/else.toml")
    assert default_path() == Path("/somewhere/else.toml")
    monkeypatch.delenv("CAVEWATCH_CONFIG")
    assert default_path().parts[-2:] == ("cavewatch", "config.toml")
