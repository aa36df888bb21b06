"""Log files of any logger, of which nothing is known yet: what they hold is guessed from a sample.

`examine` proposes settings with which `sensors.log.LogFile` reads the file; a person sees
and confirms them. Nothing is read with settings that were only guessed.
"""

from sensors.foreign.columns import Column
from sensors.foreign.examined import Examined, Stated, examine

__all__ = ["Column", "Examined", "Stated", "examine"]
