"""The lines of one sensor to its readings."""

from collections.abc import Mapping

from cavewatch.core.reading import Reading
from cavewatch.core.sensor import LineFormat, PortSettings, TopicSettings
from sensors.decode import formats
from sensors.decode.lines import CAP, Line, LineBuffer
from sensors.decode.values import measured
from sensors.faults import SensorError, listed, shown

_LONGEST_MESSAGE = 4096
"""Longer is no sensor's message [bytes]."""
_PATIENCE = 5
"""So many lines that fail in a row make a format that was told from the lines doubtful."""


class LineDecoder:
    """Reads what one port or topic sends; never raises on any bytes.

    `rejected` counts the lines that could not be read and `last_rejection` says
    what was wrong with the last of them, in words fit to be shown.
    """

    def __init__(self, settings: PortSettings | TopicSettings) -> None:
        """Raise SensorError if two names differ only in capitals, which lines do not tell apart."""
        self._fields = {name.casefold(): field for name, field in settings.fields.items()}
        if len(self._fields) < len(settings.fields):
            raise SensorError(
                f"sensor '{settings.name}' has two of the names {listed([*settings.fields])} "
                "that differ only in capitals; keep one of them"
            )
        self._names = listed([*settings.fields])
        self._columns = settings.columns
        self._set_format = self._format = settings.format
        self._misses = 0
        self._lines = LineBuffer()
        self.rejected = 0
        self.last_rejection = ""

    def feed(self, data: bytes, at: float) -> list[Reading]:
        """The readings of the lines that end in these bytes, which came at this time."""
        readings: list[Reading] = []
        for line in self._lines.feed(data):
            try:
                readings += self._read(line, at)
            except SensorError as fault:
                if line.whole:
                    self._reject(str(fault))
        return readings

    def message(self, data: bytes, at: float) -> list[Reading]:
        """The readings of one message, which came whole; it may be spread over lines."""
        try:
            if len(data) > _LONGEST_MESSAGE:
                raise SensorError(f"it is longer than {_LONGEST_MESSAGE} bytes")
            return self._understood(_utf8(data), True, at)
        except SensorError as fault:
            self._reject(str(fault))
            return []

    def reset(self) -> None:
        """The port was opened anew.

        The header and the format stay, because a board with a supply of its own
        does not send its header again.
        """
        self._lines.restart()

    def _read(self, line: Line, at: float) -> list[Reading]:
        if line.too_long:
            raise SensorError(f"it is longer than {CAP} bytes")
        return self._understood(formats.plain(line.text), line.whole, at)

    def _understood(self, text: str, whole: bool, at: float) -> list[Reading]:
        form = formats.told(text) if self._format is LineFormat.AUTO else self._format
        if form is LineFormat.COLUMNS and (names := formats.header(text, self._fields.keys())):
            self._columns = names
            return []
        # Cut, a value may look right and be wrong: 2.3 for 12.3. A header is the exception,
        # because a board that restarts as its port is opened sends it as the first line.
        if not text or not whole:
            return []
        readings = self._measured(self._values(form, text), at)
        self._format, self._misses = form, 0
        return readings

    def _values(self, form: LineFormat, text: str) -> Mapping[str, object]:
        if form is LineFormat.PAIRS:
            return formats.pairs(text)
        if form is LineFormat.JSON:
            return formats.flat_object(text)
        if not self._columns:
            raise SensorError(
                f"no header line with the names {self._names} has come; "
                "restart the board or write the names of the columns in the settings"
            )
        return formats.columns(text, self._columns)

    def _measured(self, values: Mapping[str, object], at: float) -> list[Reading]:
        readings = []
        for name, raw in values.items():
            if field := self._fields.get(name):
                try:
                    readings.append(measured(field, at, raw))
                except SensorError as fault:
                    raise SensorError(f"'{shown(name)}' {fault}") from None
        if not readings:
            raise SensorError(f"it holds {listed([*values])} and none of the names {self._names}")
        return readings

    def _reject(self, reason: str) -> None:
        self.rejected += 1
        self.last_rejection = reason
        self._misses += 1
        if self._misses >= _PATIENCE:
            self._format = self._set_format


def _utf8(message: bytes) -> str:
    try:
        return " ".join(message.decode("utf-8").split())
    except UnicodeDecodeError:
        raise SensorError("it holds bytes that are not text") from None
