"""The recorder: sources and a clock in, readings, alarms and countdowns in the store.

The same object runs headless on a serial port and inside a replay; only where
readings and time come from differs.
"""

from cavewatch.recorder.recorder import ReadingSource, Recorder

__all__ = ["ReadingSource", "Recorder"]
