"""The config file: TOML turned into the core's values, or into a list of all its faults."""

from cavewatch.config.config import Config
from cavewatch.config.faults import ConfigError
from cavewatch.config.reader import SERVICE_CONFIG, SERVICE_STORE, default_path, load, parse
from cavewatch.config.sensors import LOG_EVERY
from cavewatch.config.texts import shipped

__all__ = [
    "LOG_EVERY",
    "SERVICE_CONFIG",
    "SERVICE_STORE",
    "Config",
    "ConfigError",
    "default_path",
    "load",
    "parse",
    "shipped",
]
