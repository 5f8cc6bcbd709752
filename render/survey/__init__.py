"""Surveys: ``survey_files`` writes the sheets of a list, ``filled`` reads them back, ``found``
works out what to order; ``walkdown`` does both where there is no list yet. ``survey_columns``
has their shared headings, ``survey_book`` the workbook.
"""
