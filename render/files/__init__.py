"""Files whole or not at all: ``atomic`` writes them, ``xlsx`` makes workbooks, ``numbers`` text."""
