"""What is asked for: the typed order, its specifications, positions and quantities.

``order`` holds the pydantic models that any file is read into, ``position`` where markers go,
``quantities`` the measured fields, ``normal`` the one form in which an order is written.
"""
