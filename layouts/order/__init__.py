"""The typed order: its specifications, positions and quantities.

``order`` holds the pydantic models that any file is read into, ``position`` says where markers go,
``quantities`` holds the measured fields, ``normal`` is the one form in which an order is written.
"""
