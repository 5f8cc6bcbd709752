"""The nester: rectangles and discs onto sheets and rolls, with a proven bound. Hop 4 uses it.

Value in: a `NestRequest`, pieces with their demand (equal sizes as one), the stocks, the gap, the
cutting. Value out: a `Nest`, arrangements with their copies, the items that did not fit, the proven
minimum with the prices that prove it, and the stages that ran. Lengths are whole micrometers.
Nothing here knows about markers, and nothing else from the project is imported.

A request first becomes a `problem`, its items grown by the gap and its stocks open bins. Then the
stages of `solve.STAGES` run, each given the best plan so far and bound to return it or a cheaper
one, until the plan meets its bound:

1. guillotine fill (`guillotine_fill`): one bin filled well by straight cuts and repeated while the
   demand lasts. Always gives the first answer, in milliseconds.
2. bounds: by area and, for small orders, from rows of items by dual feasible functions (`bounds`);
   for large ones from bars by a linear program (`patterns.bars`).
3. straight goals (`straight`, panels of `lanes`): up to 300 items cut straight, one sheet less or a
   shorter roll at a time.
4. patterns by fills (`fill_patterns`): contours of more than 300 items on sheets, or of more than
   20 frames of a roll, as a linear program (`covering_program`) whose patterns fills find.
5. ruin and recreate (`recreate`, on the `skyline`): small orders, and rolls without sections; a few
   bins at a time are emptied and filled again.
6. goal lengths (`shorten`, fills of `sequence_fill`): small contour orders on one or two frames of
   a roll, by the sequence in which items are offered.
7. column generation (`patterns`): straight cuts, and contours of many items where fills did not
   come near the bound, as a linear program over guillotine patterns. The only stage whose loops
   are compiled; on sheets contours of up to 2,000 items are then ruined and recreated.
8. hexagonal rows (`discs`): round items cut by contour.

At equal cost the patterns are then `repeats`, where a bound shows that different ones may be saved
and what that is worth, and one long offcut is left of the emptiest sheet (`answer`). `judge` checks
a nest and its bound without knowing how they were found. `assign_faces` (`faces`) then says what is
printed in each slot.
"""

from layouts.nest.answer import cost_of, cut_steps, slot_rects
from layouts.nest.faces import PrintedSheet, assign_faces, rows_count
from layouts.nest.judge import judge_nest
from layouts.nest.model import (
    DEFAULT_EFFORT,
    Arrangement,
    Bound,
    CutStep,
    Cutting,
    KeepOut,
    Lack,
    Margins,
    Nest,
    NestRequest,
    Piece,
    RollStock,
    SheetStock,
    Slot,
    StageRun,
    Turn,
    Unplaced,
)
from layouts.nest.problem import free_rooms
from layouts.nest.solve import compiles, nest, warm

__all__ = [
    "DEFAULT_EFFORT",
    "Arrangement",
    "Bound",
    "CutStep",
    "Cutting",
    "KeepOut",
    "Lack",
    "Margins",
    "Nest",
    "NestRequest",
    "Piece",
    "PrintedSheet",
    "RollStock",
    "SheetStock",
    "Slot",
    "StageRun",
    "Turn",
    "Unplaced",
    "assign_faces",
    "compiles",
    "cost_of",
    "cut_steps",
    "free_rooms",
    "judge_nest",
    "nest",
    "rows_count",
    "slot_rects",
    "warm",
]
