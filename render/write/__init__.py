"""Hop six: ``Document`` in, bytes out. Writers know shapes and inks, never markers.

``pdf``, ``svg``, ``dxf`` and ``png`` take the same pages; ``sheetfiles`` writes files for
machines, ``paperwork`` papers for people, ``tables`` and ``valve_workbook`` tables for
spreadsheets. ``traces`` are contours as text, ``polylines`` those of DXF, and
``dxf_frame`` is what lies around them.
"""
