"""Alarms in the language of IEC 62682 / ANSI/ISA-18.2.

`table` holds the states and the transitions, `limits` turns readings into
abnormal and normal with deadband and delays, `texts` explains, `engine` steps.
"""
