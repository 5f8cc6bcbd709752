"""Printed colors: differences, profiles, readings and what they say of each ink.

``engine`` turns Lab into device values and back; ``difference`` measures; ``facts`` holds the
tolerances; ``readings`` reads what an instrument measured and ``verdict`` judges it; ``target``
draws the sheet to measure. `render.gamut` puts profile and inks together.
"""
