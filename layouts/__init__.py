"""START HERE: what goes where, from a typed order to pages and papers. Pure computation.

An order takes six hops to its files; ``render`` makes the first and the last, this package the
four between them, and ``render.job.build`` names all six in order. Every value between two hops
is frozen, and no hop reads back or changes an earlier one.

    hop           room            value in -> value out
    1 read        render.read     a list or order file        -> Order
      take off    takeoff         a run of pipe               -> positions on it (inside hop 1)
    2 decide      plan            specification + Scheme      -> MarkerPlan: choices with reasons
    3 compose     face            a plan's Design             -> Face: shapes, lettering, cuts
      gather      markers         plans + faces               -> Marker: equal ones with positions
      review      review          the order as a whole        -> findings
    4 nest        sheets, nest    markers + stocks            -> SheetPlan: sheets with copies
    5 assemble    pages           SheetPlan                   -> Document: cut-ready, checked
      draw papers papers          markers + sheets            -> Documents that people read
    6 write       render.write    Documents                   -> bytes: PDF, SVG, DXF, PNG

Beside the hops, for installed markers:

    crosscheck  names of an order against those of drawings -> what agrees, nearly, or is missing
    survey      what surveyors saw of each piece -> leave, replace, add, remove, questions
    register    a row for each installed piece, its history, and what is due

The ground floors, which every room above may use:

    terms     measures, pipe sizes, tag ranges, closed vocabularies, findings and errors
    drawing   geometry, inks, lettering, symbols and the Document that every writer takes
    schemes   conventions as data: wording, colors, size tables, build limits, spacing rules
    order     the typed order: specifications, positions, and its one normal form

Where to look first:

    the width of a band            plan/elements.py, from the band rules in schemes/*.toml
    the length of a strap          plan/build/components.py, limits in schemes/mounting.toml
    the margin of a sheet          render/shop/stocks.toml, read into sheets/stock.py
    a line of the ticket           papers/ticket/group.py
    the text of a finding          the room that finds it: plan, review, takeoff, render.read

Lengths are millimeters (float), the origin is top-left and y runs down, unless a name says
otherwise; ``nest`` counts whole micrometers. Nothing here reads or writes a file, except the scheme
loader, which reads its own packaged data; ``order`` validates with pydantic.
"""
