"""The size of a cheese as people type it: '18 x 8 cm', '20 x 10 x 8 cm', 'ball 12 cm'."""

import re

from cavewatch.core.shape import Cuboid, Cylinder, Form, Shape, Sphere
from cavewatch.units.amount import length, tidied
from cavewatch.units.errors import UnitError, quoted

_COUNT = {Form.BALL: 1, Form.WHEEL: 2, Form.BLOCK: 3}
_ALLOWED = (
    "write 18 x 8 cm for a wheel (diameter x height), "
    "20 x 10 x 8 cm for a block (length x width x height) or ball 12 cm"
)


def shape(text: str) -> Shape:
    """Shape [cm] from two lengths (a wheel), three (a block) or one with the word 'ball'.

    A unit on the last length holds for those before it that have none. The
    words 'wheel' and 'block' may stand there too.

    Raises:
        UnitError: for anything else.
    """
    words = tidied(text)
    named = [form for form in Form if re.search(rf"\b{form}\b", words)]
    for form in named:
        words = re.sub(rf"\b{form}\b", " ", words)
    parts = [part.strip() for part in re.split(r"[x×*]|\bby\b", words)]
    unit = re.search(r'[a-z."]*$', parts[-1])
    if unit and unit[0]:
        parts = [part if re.search(r'[a-z"]', part) else f"{part} {unit[0]}" for part in parts]
    usual = {2: [Form.WHEEL], 3: [Form.BLOCK]}.get(len(parts), [])
    forms = named or usual
    if len(forms) != 1 or len(parts) != _COUNT[forms[0]]:
        raise UnitError(f"{quoted(text)} is not the size of a cheese; {_ALLOWED}")
    try:
        sizes = [length(part) for part in parts]
    except UnitError as fault:
        raise UnitError(f"{quoted(text)} is not the size of a cheese: {fault}") from fault
    if forms == [Form.BALL]:
        return Sphere(*sizes)
    return Cylinder(*sizes) if forms == [Form.WHEEL] else Cuboid(*sizes)
