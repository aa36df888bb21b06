"""What can go wrong with brined cheese and its brine, for looking up.

None of this judges whether a cheese may be eaten; where in doubt, ask the food
authority or licensed advice.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Defect:
    """One thing that one sees, smells or feels."""

    name: str
    looks: str
    """How it shows itself."""
    causes: str
    """The likely ones, most likely first."""
    do: str
    """What to do about it."""
    source: str
    """Sources that were read, else 'common practice, no source' or 'from memory'."""


DEFECTS: tuple[Defect, ...] = (
    Defect(
        "soft or slimy rind",
        "the surface feels swollen and slippery after brining",
        "too little calcium in fresh brine, so that the casein takes up water; brine less sour "
        "than the cheese; brine weaker than about 12 %, which wets cheese",
        "bring calcium chloride to about 0.1 %, the pH to the cheese's own (usually 5.2 to 5.6) "
        "and the strength to what the style wants",
        "University of Guelph, salting page; Paroles de fromagers, page on brine (the 12 %)",
    ),
    Defect(
        "greasy or sticky patches",
        "a greasy rind, later sticky patches, straw-coloured to brown; mucor grows on them",
        "fresh brine that is neutral instead of sour; weak brine makes it wetter and sourer",
        "sour the brine to the cheese's pH, restore its strength, dry the rind before the cave",
        "a farm dairy's page and a hobby page on brine, neither naming a source",
    ),
    Defect(
        "dry shell",
        "a hard, yellowish skin over pale paste; little salt inside",
        "brine above about 22 to 23 %: the surface dries and lets less salt through; warm brine",
        "work at 18 to 22 %; give a longer time, not a stronger brine",
        "abstracts of a Sicilian study (faster uptake in 18 % than in saturated brine); a hobby "
        "page (the 23 %)",
    ),
    Defect(
        "cracked rind",
        "cracks across faces or edges in the first days after brining",
        "dried too fast in a draught or in dry air; brine too strong or too cold for the cheese; "
        "paste too sour and short",
        "dry more slowly in damper air, rub fine cracks shut with brine or fat, look at strength "
        "and at the acidity before brining",
        "common practice, no source",
    ),
    Defect(
        "gas",
        "wheels swell or float higher, with many small holes or splits, in the first days or "
        "after weeks",
        "early: coliforms or yeasts from milk, vat or brine; late: spore formers from silage; too "
        "little salt reaching the core in time",
        "set the make apart, send a sample to a laboratory, clean vat and tub; do not put such "
        "wheels into brine that others share",
        "from memory",
    ),
    Defect(
        "off smell",
        "brine or rind smells of yeast, rot or cellar rather than of whey and salt",
        "whey and fines rotting on the bottom, yeasts, brine too weak or too warm, long use "
        "without filtering",
        "skim and filter it; if the smell stays, mix fresh brine and clean the tub",
        "common practice, no source; Wisconsin Center for Dairy Research, in Dairy Foods (more "
        "trouble with microbes under 16 %)",
    ),
    Defect(
        "cloudiness",
        "the brine turns milky, or threads and flakes drift in it",
        "whey protein and fines; additives of the salt; yeasts, if it smells or foams",
        "skim after each batch, filter, or heat and let settle; use salt without additives; test "
        "strength again afterwards, for heating drives off water",
        "University of Guelph, salting page (filtering); otherwise from memory",
    ),
)
"""In the order in which makers meet them."""

CLEANING = (
    "Rinse between cleaning chemicals and never mix them: chlorine with acid gives off a "
    "poisonous gas. Follow the label, your local code and licensed advice."
)
"""From memory."""

NO_VERDICT = (
    "None of this says that a cheese is fit to eat: where in doubt, ask your food authority or "
    "licensed advice."
)


def matching(word: str) -> tuple[Defect, ...]:
    """The defects that name this word, whatever its capitals; all for no word."""
    found = word.strip().casefold()
    named = tuple(each for each in DEFECTS if found in each.name)
    return named or tuple(
        each for each in DEFECTS if found in f"{each.looks} {each.causes}".casefold()
    )
