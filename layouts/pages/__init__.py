"""Hop five: ``SheetPlan`` in, ``Document`` out: sheets with marks and notes, ready to cut.

``sheet`` places faces by reference, ``back`` those on a sheet's other side, ``margin`` fills the
slug, ``steps`` names the cutting layers, ``cuts`` puts contours in order for a knife, ``check``
checks the geometry before anything is written. ``single`` and ``tiles`` draw one marker on a page
or on office paper.
"""
