"""What the record says beside its figures, so that nobody takes them for more than they are."""

AUTHORITY = (
    "Local rules and the licensing authority decide when raw-milk cheese may be sold; days kept "
    "at warmth are a legal minimum, and Listeria can grow on a rind all the while."
)
"""Beside a count of raw-milk days."""
LISTERIA = (
    "Listeria can live for months in brine and caves, whatever their salt and cold: test, clean "
    "and divide clean from dirty as your authority and your own hazard plan ask."
)
"""Beside what is told of brine and caves."""
LABELLING = "Check local labelling rules: they may ask for more than this."
"""Beside the text of a label."""
