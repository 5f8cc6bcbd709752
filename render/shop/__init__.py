"""The shop's own files: ``shopfile`` reads stocks and printer, ``prices`` its price list,
``offcuts`` the remnants that a command names. ``stocks.toml`` holds the stocks without a file.
"""
