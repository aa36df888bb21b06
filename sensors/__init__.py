"""Where readings come from: ports, buses and log files, behind one interface.

`decode` turns bytes into readings without any I/O; `port` is the thin shell
around a serial port that is listened to; `polled` asks what does not speak by
itself, `modbus` and `one_wire` are what it asks; `log` reads a file and `pace`
hands its readings out as the clock reaches them; `ports` lists what is plugged
in. Everything that comes from outside is taken as hostile: it is read strictly,
bounded in size, and quoted to people only through `faults.shown`.
"""
