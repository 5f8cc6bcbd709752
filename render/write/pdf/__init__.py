"""A document of solid paths as PDF bytes.

``write`` takes a `layouts.drawing.document.Document` and gives a PDF 1.6 whose inks are named
Separations with Lab alternates and whose processing steps are optional content marked by
ISO 19593-1. With a printer profile the file also makes the claim of PDF/X-4.

The way: `plates` names the inks, `paths` turns geometry into operators, `content` draws
layers and symbols, `objects` builds the file. Millimetres with y down come in; the first
operator of every page turns them into points with y up, and nothing else does.
"""

from render.write.pdf.press import Press
from render.write.pdf.writer import write

__all__ = ["Press", "write"]
