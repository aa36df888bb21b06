"""The style book: what each style of cheese wants, as data, and the loader that reads it.

One file holds one family; `every.toml` says how a style is written and what
holds for all of them. The names are generic: a protected name appears only in
the text of a source.
"""

from cavewatch.styles.loader import load
from cavewatch.styles.sheet import Fault, StyleError

__all__ = ["Fault", "StyleError", "load"]
