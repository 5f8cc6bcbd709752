"""What goes where: pure computation from a typed order to drawings.

The data's way, one direction, every value frozen:

    Order -> plan -> MarkerPlan -> face -> Face -> nest -> SheetPlan -> sheet -> Drawing

Lengths are millimetres (float), the origin is top-left and y runs down, unless a name says
otherwise. Nothing in this package reads or writes a file, with two exceptions: the scheme
loader reads its own packaged data, and ``spec`` validates with pydantic.
"""
