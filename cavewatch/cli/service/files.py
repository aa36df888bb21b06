"""The files that stand beside the unit: the user, the modules and the names of ports."""

USER = "cavewatch"

SYSUSERS = f"""\
# The user and group of the Cavewatch recorder; whoever looks at its dairy is in the group.
u {USER} - "Cavewatch recorder" /var/lib/cavewatch
"""

MODULES = """\
# Drivers of USB serial adapters. The unit permits kinds of devices by name, and a name is only
# known once its driver is loaded: an adapter that is plugged in later would be refused.
usbserial
cdc_acm
"""

UDEV = """\
# Names for USB serial adapters by the socket that they are plugged into, such as
# /dev/cavewatch/usb-1-1.3:1.0-port0. Two adapters of one kind without numbers of their own share
# one name in /dev/serial/by-id; here each has its own for as long as it stays in its socket.
SUBSYSTEM!="tty", GOTO="cavewatch_end"
KERNEL!="ttyUSB[0-9]*|ttyACM[0-9]*", GOTO="cavewatch_end"
# An adapter with several ports on one interface counts them.
SUBSYSTEMS=="usb-serial", ENV{.CAVEWATCH_PORT}="-port$attr{port_number}"
SUBSYSTEMS=="usb", KERNELS=="*:*", SYMLINK+="cavewatch/usb-$id$env{.CAVEWATCH_PORT}"
LABEL="cavewatch_end"
"""
