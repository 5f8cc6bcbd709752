"""Printed colors: differences, profiles, readings and what they say about each ink.

``engine`` turns Lab into device values and back; ``difference`` measures; ``facts`` holds the
tolerances; ``readings`` reads what an instrument measured and ``verdict`` judges it; ``target``
draws the sheet to measure. ``gamut`` puts profile and inks together, ``ink_comparison`` all of it.
Nothing is imported here, since a job needs the profile only.
"""
