"""The proof: every distinct marker to scale, with the reasons for it, and a signature block."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layouts.drawing.document import Document, Symbol
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.papers.kit.figure import Pictures, Trims
from layouts.papers.kit.paper import Paper, running_lines, voices_of
from layouts.papers.kit.table import Column
from layouts.papers.proof.cover import draw_cover
from layouts.papers.proof.family import draw_family, families
from layouts.papers.proof.marker_entry import draw_entry
from layouts.papers.proof.references import References
from layouts.papers.proof.verdicts import Verdicts
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding

__all__ = ["proof"]


def proof(
    order: Order,
    markers: Sequence[Marker],
    findings: Sequence[Finding],
    schemes: Mapping[str, Scheme],
    typefaces: Typefaces,
    date: str | None = None,
    mark: str = "",
) -> Document:
    """The proof of an order on US letter pages.

    ``schemes`` are those in use, by the names the order gives them, including its own. ``date`` is
    used if the order has none; ``mark`` identifies this proof and is at the foot of every page.
    """
    day = order.date or date
    running = running_lines("Proof", order, day, mark and f"proof {mark}")
    ink = schemes[order.scheme].inks["black"]
    paper = Paper(running, voices_of(typefaces), ink)
    verdicts = Verdicts(markers, findings)
    draw_cover(paper, order, markers, verdicts, schemes, day)
    symbols: dict[str, Symbol] = {}
    references = References(markers)
    if markers:
        paper.turn()
    by_key = {scheme.key: scheme for scheme in schemes.values()} if len(schemes) > 1 else {}
    pictures = Pictures(Trims(ink))
    for family in families(markers, verdicts.of_marker, by_key):
        first, *others = family.markers
        if others:
            draw_family(paper, family, references, pictures)
        else:
            draw_entry(paper, first, family.findings, family.scheme, references, symbols)
    _draw_references(paper, references)
    return Document(
        "proof",
        f"Proof: {order.title}",
        paper.finish("proof", "Proof"),
        {**symbols, **pictures.symbols(), **paper.voices.symbols()},
        day,
    )


def _draw_references(paper: Paper, references: References) -> None:
    """The notes and sources that the entries refer to."""
    number = 12.0
    notes, sources = references.notes(), references.sources()
    if notes:
        paper.heading("Notes that several markers share")
        half = (paper.width - number) / 2
        columns = (Column("No.", number), Column("Note", half), Column("Source", half))
        paper.table(columns, notes)
    if sources:
        paper.heading("Sources of the choices")
        paper.table((Column("No.", number), Column("Source", paper.width - number)), sources)
