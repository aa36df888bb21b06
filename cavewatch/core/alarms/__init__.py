"""Alarms in the language of IEC 62682 / ANSI/ISA-18.2.

`table` holds the states and the transitions, `engine` steps, `suppression` and
`answers` are the maker's part; `limits` turns readings into abnormal and normal
with deadband and delays, `drift`, `rate` and `forecast` read trends from `means`;
`conditions` explains.
"""
