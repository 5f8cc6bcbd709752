"""The register of what hangs: a row for each piece, and everything that was done to it.

``model`` holds its rows and its history, ``entries`` makes a row of a piece, ``updates`` applies
a signed pack, a survey or a removal, ``due`` tells what is to be inspected and replaced until a
day. Days are ISO texts, so they compare as they sort; nothing here asks a clock.
"""
