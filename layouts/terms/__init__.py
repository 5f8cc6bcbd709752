"""The trade's measures and words: text in, plain values out. Imports nothing of ours.

``units`` and ``pipes`` read lengths, pressures, temperatures and pipe sizes as the trade writes
them; ``tags`` spells out ranges of tag numbers; ``words`` holds the closed vocabularies;
``findings`` and ``errors`` are what every check gives and every refusal raises.
"""
