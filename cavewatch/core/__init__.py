"""The core: pure functions and frozen values.

It knows no screen, clock, disk or port. Time and readings come in as
arguments; decisions come out as values. Instants are seconds since
1970-01-01 UTC (floats, named `at`, `since`, ...); lengths are cm, masses g,
temperatures degC, strengths and salt contents % w/w unless a name says else.
"""
