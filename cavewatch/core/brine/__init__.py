"""The brine: strength, density and what else follows from them."""
