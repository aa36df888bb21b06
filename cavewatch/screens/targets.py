"""What a command is meant for: the wheels and the place under the cursor."""

from cavewatch.core.dairy import Dairy
from cavewatch.core.due import TOGETHER
from cavewatch.screens.groups import Group, groups_of
from cavewatch.screens.sheets import NOWHERE, Target


def target_of_group(dairy: Dairy, group: Group) -> Target:
    """Wheels with the same times; their make and all in their place are offered too."""
    steps = () if group.countdown is None else group.countdown.steps
    doses = [s.grams for s in steps if s.at.expected - steps[0].at.expected < TOGETHER]
    dose = next((grams for grams in doses if grams is not None), None)
    return Target(
        chosen=group.numbers,
        make=tuple(n for n, w in dairy.wheels.items() if w.make == group.wheel.make),
        here=tuple(n for n, w in dairy.wheels.items() if w.place == group.wheel.place),
        place=group.wheel.place,
        grams=None if dose is None else dose.expected,
    )


def target_of_wheel(dairy: Dairy, number: int) -> Target:
    """One wheel; its make and all in its place are offered too."""
    group = group_of(dairy, number)
    if group is None:
        return NOWHERE
    return target_of_group(dairy, Group((number,), dairy.wheels[number], group.countdown))


def target_of_place(dairy: Dairy, name: str) -> Target:
    """All wheels of a place."""
    view = next((v for v in dairy.places if v.place.name == name), None)
    return Target((), (), () if view is None else view.wheels, name)


def group_of(dairy: Dairy, number: int) -> Group | None:
    """A wheel with those that have the same times, or alone; None if it is not there."""
    for group in groups_of(dairy):
        if number in group.numbers:
            return group
    wheel = dairy.wheels.get(number)
    return None if wheel is None else Group((number,), wheel, None)
