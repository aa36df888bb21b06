"""Whether a sensor can be trusted, told from its readings and from the maker's checks of it."""
