"""Hop four: ``Marker`` and ``Shop`` in, ``SheetPlan`` out: parts nested on sheets and rolls.

``stock`` says what a shop prints and cuts on; ``pieces`` puts parts in the nester's terms;
``film`` makes a face fit a stock that is clear, dark, colored or engraved; ``groups`` lays out
the whole order, ``planning`` one group of it; ``offcuts`` come first where they save stock;
``long_film`` splits what no stock is long enough for; ``two_faced`` turns sheets over;
``name_patterns`` are what a shop calls files and sheets; ``nest_record`` is the answer as a table.
"""
