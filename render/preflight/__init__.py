"""Judges any PDF as a print file: point by point, pass, fail or note, with stable codes.

``inspect`` opens a file and runs the checks in turn: `safety` (whole, no scripts), `claim`
(PDF/X and its output intent), `boxes`, `layers` (optional content and processing steps),
`painted` (color, lettering, transparency, found by `walk`), `cuts` (house rules for what a
knife follows) and `plates` (by Ghostscript). It shares no code with the writer.
"""

from render.preflight.inspection import inspect
from render.preflight.report import Point, Report, Verdict, as_dict, as_text

__all__ = ["Point", "Report", "Verdict", "as_dict", "as_text", "inspect"]
