"""The trade's measures and words: text in, plain values out. Imports nothing else from the project.

``units`` and ``pipes`` read lengths, pressures, temperatures and pipe sizes as the trade writes
them; ``tags`` spells out ranges of tag numbers; ``words`` holds the closed vocabularies;
``findings`` is what every check returns, ``errors`` what every refusal raises; ``values`` is how
all of the project's values are declared.
"""
