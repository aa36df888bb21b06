"""The commented config that the set-up writes."""

from collections.abc import Iterator

from cavewatch.cli.proposing import key, quoted
from cavewatch.core.place import PlaceKind
from cavewatch.core.sensor import LineFormat, Unit
from cavewatch.screens.setup.answers import Answers, PlaceAnswer, PortHeard, SensorAnswer
from cavewatch.units import System

_HEAD = """\
# Settings of one dairy, written by the first start. Change what you like: every key is explained in
# config.example.toml, and `cavewatch check` names every mistake. Lines that begin with "#" are
# explanations; "#" before a setting switches it off.
"""
_USUAL = (Unit.CELSIUS, Unit.PERCENT)


def config_text(answers: Answers) -> str:
    """The config, as TOML with comments."""
    parts = [_HEAD, "\n".join(_dairy(answers)), _STORE]
    parts.append(_PLACES + "\n\n".join("\n".join(_place(place)) for place in answers.places))
    sensors = [*map(_sensor, answers.sensors), *map(_idle, answers.idle)]
    if not sensors:
        sensors = [_no_sensor(answers)]
    parts.append(_SENSORS + "\n\n".join("\n".join(lines) for lines in sensors))
    return "\n\n".join(part.strip("\n") for part in parts) + "\n"


def _dairy(answers: Answers) -> Iterator[str]:
    yield "[dairy]"
    yield f"name = {quoted(answers.name)}"
    yield f"zone = {quoted(answers.zone)}    # time zone of the dairy, as Region/City"
    shown = "degF, lb, gal" if answers.units is System.US else "degC, kg, L"
    yield f"units = {quoted(answers.units.value)}    # what you see: {shown}"
    if answers.initials:
        yield f"initials = {quoted(answers.initials)}    # written beside your entries"
    else:
        yield '#initials = "AB"    # written beside your entries'
    made = ", ".join(quoted(style) for style in answers.styles)
    yield "# Styles that are made here, by their IDs; they are offered first."
    yield f"styles = [{made}]" if made else '#styles = ["gouda"]'


_STORE = """\
# Readings, journal and alarms are kept in one file in your own data folder, unless a path is given.
[store]
#path = "cavewatch.sqlite"
commit_every = "10 s"    # a power cut loses at most this much of the readings, never an entry
"""
_PLACES = """\
# Places: anywhere a wheel or a probe can be. Entries in the journal name them, so keep a name once
# it is used. temperature and humidity are wanted there while no wheel in it asks for its own.
"""
_SENSORS = """\
# Sensors: one [[sensor]] for each serial port that sends lines. Modbus, one-wire, MQTT and log
# files are explained in config.example.toml.
"""


def _place(place: PlaceAnswer) -> Iterator[str]:
    yield "[[place]]"
    yield f"name = {quoted(place.name)}"
    yield f"kind = {quoted(place.kind.value)}"
    for quantity, (low, high) in place.ranges.items():
        yield f"{quantity.value} = [{quoted(low)}, {quoted(high)}]"
    if place.kind is PlaceKind.TUB:
        yield "[place.brine]    # as you made it; later measurements go into the journal"
        yield f"strength = {quoted(place.strength)}"
        if place.volume:
            yield f"volume = {quoted(place.volume)}"
        else:
            yield '#volume = "60 L"    # needed to tell how the cheese weakens the brine'
        yield f"temperature = {quoted(place.temperature)}    # while no probe in it reports"


def _sensor(sensor: SensorAnswer) -> Iterator[str]:
    heard = sensor.heard
    yield "[[sensor]]"
    yield f"name = {quoted(sensor.name)}"
    yield f"port = {quoted(heard.port)}"
    yield f"baud = {heard.baud}"
    if heard.format is not None:
        yield f"format = {quoted(heard.format)}"
    if heard.format is LineFormat.COLUMNS:
        yield f"columns = [{', '.join(map(quoted, heard.columns))}]"
    yield f'every = "{heard.every or 30} s"    # how often it sends'
    yield "[sensor.fields]"
    for value in heard.values:
        fed = sensor.feeds.get(value.name)
        if fed is None:
            yield f'#{key(value.name)} = "PLACE.temperature"    # not used'
        elif fed[1] in _USUAL:
            yield f"{key(value.name)} = {quoted(fed[0])}"
        else:
            yield f"{key(value.name)} = {{ channel = {quoted(fed[0])}, unit = {quoted(fed[1])} }}"


def _idle(heard: PortHeard) -> Iterator[str]:
    """A port that was found and is not used."""
    yield "# This port was found and is not used. What it says and its lines for here are told by:"
    yield f"#   cavewatch check --listen {heard.port}"


def _no_sensor(answers: Answers) -> Iterator[str]:
    place = answers.places[0].name if answers.places else "PLACE"
    yield "# No port was found. This is how a sensor looks; take the '#' away and write yours."
    yield "#[[sensor]]"
    yield '#name = "probe"'
    yield '#port = "/dev/serial/by-id/..."'
    yield "#[sensor.fields]"
    yield f"#T = {quoted(f'{place}.temperature')}"
