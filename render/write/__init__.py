"""Hop six: ``Document`` in, bytes out. Writers know shapes and inks, never markers.

``pdf``, ``svg``, ``dxf`` and ``png`` take the same pages; ``sheetfiles`` writes what machines
run, ``paperwork`` what people read, ``tables`` and ``valve_workbook`` what spreadsheets read.
"""
