"""Surveys: ``survey_files`` writes the sheets of a list, ``filled`` reads them back, ``found``
says what follows; ``walkdown`` does both where there is no list yet. ``columns`` are the headings
that all of them share.
"""
