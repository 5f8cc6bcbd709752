"""Judges any PDF as a print file: bytes in, verdict out.

`inspect` takes a file or its bytes and returns a `Report`: points with stable codes, each with
what was found, where, and what would be right; sizes, inks and claim; and a verdict, set by the
worst point. It shares no code with the writer.

How a file is judged:

1. `opened` opens the file, reads its metadata and finds its processing steps: `Opened`.
2. Each check takes the `Opened` and gives a `Section`: a table of codes, with the sentence that
   each passes with, and the points that it found. A code without a finding passes.
   `safety` looks at the file as a whole, `claim` and `intents` at its PDF/X claim, `boxes`
   at page sizes, `layers` at optional content and steps. `walk` reads the content (`lexer`,
   `operators`, `brush`, `resources`, `resource_dict`, `spaces`; `walked` is what it has met) and
   fills a `Painting` with `marks`; `painted`, `colors_used` and `cuts` judge that. `plates` draws
   it by Ghostscript.
3. `inspection` runs them in turn. A check that exceeds the file's `limits` makes the file too
   large to judge. `rules` turns house rules into warnings where the shop relaxes them.
4. `wording` reports to people; `as_dict` to programs. `batch` takes many files, each in a
   process with memory and time limits (`guard`). Large files of our own are inspected in a
   `fresh_process`, so that the memory it takes ends with it.

To add a point: put its code and its passing sentence into the `CODES` of one check, yield a
`fail`, `warn` or `note` from it (`Opened.breach` for a rule of PDF/X, ``house=True`` for a rule
of ours), and add a file with that one fault to the mutants of the tests.
"""

from render.preflight.batch import Batch, inspect_all
from render.preflight.fresh_process import inspect_apart
from render.preflight.inspection import inspect
from render.preflight.limits import unlimited
from render.preflight.report import Point, Report, Verdict, as_dict
from render.preflight.rules import HOUSE, PAPERS, STANDARD, Rules
from render.preflight.wording import as_text

__all__ = [
    "HOUSE",
    "PAPERS",
    "STANDARD",
    "Batch",
    "Point",
    "Report",
    "Rules",
    "Verdict",
    "as_dict",
    "as_text",
    "inspect",
    "inspect_all",
    "inspect_apart",
    "unlimited",
]
