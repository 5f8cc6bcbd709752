"""The proof: every distinct marker to scale, with the reasons for it, and a signature block."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layouts.drawing.document import Ahead, Document, Page, Symbol
from layouts.drawing.typefaces import Typefaces
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.papers.kit.figure import Pictures, Trims
from layouts.papers.kit.paper import Paper, handing_over, running_lines, voices_of
from layouts.papers.kit.table import Column
from layouts.papers.proof.cover import draw_cover
from layouts.papers.proof.family import draw_family, families
from layouts.papers.proof.marker_entry import draw_entry
from layouts.papers.proof.references import References
from layouts.papers.proof.verdicts import Verdicts
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding


class Proof:
    """The proof of an order on US letter pages.

    ``document`` gives everything but the pages. Its symbols are those of the pages at hand.
    """

    def __init__(
        self,
        order: Order,
        markers: Sequence[Marker],
        findings: Sequence[Finding],
        schemes: Mapping[str, Scheme],
        typefaces: Typefaces,
        date: str | None = None,
        mark: str = "",
    ) -> None:
        """Take what the proof shows.

        ``schemes`` are those in use, by the names the order gives them, including its own.
        ``date`` is used if the order has none; ``mark`` identifies this proof and is at the foot
        of every page.
        """
        self._order, self._markers, self._schemes = order, markers, schemes
        self._verdicts = Verdicts(markers, findings)
        self._running = running_lines("Proof", order, order.date or date, mark and f"proof {mark}")
        self._symbols: dict[str, Symbol] = {}
        self._voices = voices_of(typefaces, self._symbols)
        day = order.date or date
        self.document = Document("proof", f"Proof: {order.title}", (), self._symbols, day)

    def pages(self, ahead: Ahead | None = None) -> tuple[Page, ...]:
        """Draw every page; with ``ahead`` only a few are held at a time."""
        order, schemes, verdicts = self._order, self._schemes, self._verdicts
        ink = schemes[order.scheme].inks["black"]
        handed = ahead and handing_over(ahead, self._voices, self._symbols)
        paper = Paper(self._running, self._voices, ink, handed)
        draw_cover(paper, order, self._markers, verdicts, schemes, self.document.date)
        references = References(self._markers)
        if self._markers:
            paper.turn()
        by_key = {scheme.key: scheme for scheme in schemes.values()} if len(schemes) > 1 else {}
        pictures = Pictures(Trims(ink), self._symbols)
        for family in families(self._markers, verdicts.of_marker, by_key):
            first, *others = family.markers
            if others:
                draw_family(paper, family, references, pictures)
            else:
                found, scheme = family.findings, family.scheme
                draw_entry(paper, first, found, scheme, references, self._symbols)
        _draw_references(paper, references)
        return paper.finish("proof", "Proof")


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
