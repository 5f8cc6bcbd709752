"""The shop's own files: ``shopfile`` reads stocks and machines, ``prices`` its price list.

``shop_tables`` defines every key of the file; ``shop_machines`` says which machine makes a stock;
``offcuts`` reads those that a command names, ``remnants`` an inventory of them. ``stocks.toml``
holds the stocks used when there is no shop file.
"""
