"""Papers that are handed to their file page by page, here with every page in memory."""

from __future__ import annotations

from dataclasses import replace

from layouts.drawing.document import Document
from layouts.papers.proof import Proof
from layouts.papers.valve_chart import ValveChart


def whole(paper: Proof | ValveChart) -> Document:
    """The paper with all of its pages."""
    return replace(paper.document, pages=paper.pages())
