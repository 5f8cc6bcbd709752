"""Hop four: ``Marker`` and ``Shop`` in, ``SheetPlan`` out: parts nested on sheets and rolls.

``stock`` says what a shop prints and cuts on; ``pieces`` converts parts to the nester's terms;
``film`` adapts a face to a stock that is clear, dark, colored or engraved; ``groups`` lays out
the whole order, ``planning`` one group of it; ``offcuts`` are used first where they save stock;
``long_film`` splits pieces longer than any stock; ``two_faced`` turns sheets over;
``name_patterns`` are a shop's names for files and sheets; ``nest_record`` is the nest as a table.
"""
