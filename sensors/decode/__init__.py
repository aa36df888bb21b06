"""From bytes to readings, without I/O: the caller brings the bytes and the time.

The lines understood, in plain ASCII, one reading time per line:

- pairs: `T=12.3 H=88.1`, parted by spaces, commas or semicolons;
- columns: `12.3,88.1`, parted by commas, semicolons, tabs or spaces, after a
  header line that names them or with the names in the settings;
- JSON: `{"t": 12.3, "rh": 88.1}`, one flat object.

A value is a decimal number. A unit (C, degC, F, degF, %, %RH) may follow it if
it is the unit of the settings. `nan`, `null`, `none` or nothing at all means
that the sensor has no value. A decimal comma is read where commas do not part
the values. A line is read whole or rejected whole, so that a damaged line
never gives half its values.

`registers` reads Modbus slaves, `one_wire` the kernel's text about a probe.
"""

from sensors.decode.decoder import LineDecoder

__all__ = ["LineDecoder"]
