"""The demonstration: one week at Knockadrizzle Dairy, which is invented.

No such dairy exists; its caves, wheels, readings and entries are made up by
the modules here. `python -m demo.week` writes them anew, byte for byte alike.
"""
