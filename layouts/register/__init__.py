"""The register of installed pieces: a row for each piece and its history.

``model`` holds its rows and its history, ``entries`` makes a row from a piece, ``updates`` applies
a signed pack, a survey or a removal, ``due`` lists what must be inspected or replaced by a given
day. Days are ISO texts, so they compare in date order; nothing here reads a clock.
"""
