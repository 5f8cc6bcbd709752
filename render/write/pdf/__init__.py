"""Writes a document of solid paths as PDF bytes.

``write`` takes a `layouts.drawing.document.Document` and returns a PDF 1.6 whose inks are named
Separations with Lab alternates and whose processing steps are optional content marked by
ISO 19593-1. With a printer profile the file also claims PDF/X-4. ``Writer`` does the same page by
page, so that no page need be held.

The steps: `separations` names the inks, `paths` and `letters` turn geometry into operators,
`content` draws layers and symbols, `objects` builds the file. Input is in millimeters with y down.
Only the first operator of every page converts to points with y up.
"""

from render.write.pdf.press import Press
from render.write.pdf.writer import Writer, write

__all__ = ["Press", "Writer", "write"]
