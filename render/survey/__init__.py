"""Surveys: ``survey_files`` writes the sheets of a list, ``filled`` reads them back, ``found``
says what follows; ``walkdown`` does both where there is no list yet. ``survey_columns`` has the
headings that they share, ``survey_book`` the workbook.
"""
