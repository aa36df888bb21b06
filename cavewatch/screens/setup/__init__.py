"""The guided set-up of a dairy that has no config yet: a few screens that ask, one that writes."""
