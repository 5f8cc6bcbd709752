"""The shop's own files: ``shopfile`` reads stocks and machines, ``prices`` its price list.

``shop_tables`` holds every key as it is written, ``shop_machines`` which machine makes a stock;
``offcuts`` are what a command names, ``remnants`` an inventory of them. ``stocks.toml`` holds the
stocks without a file.
"""
