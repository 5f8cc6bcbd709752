"""The first page: what is ordered, by which scheme, the findings, and the approval."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from layouts.drawing import Point
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.papers.kit.cautions import Audience, cautions_for, hazards_of
from layouts.papers.kit.paper import BODY, Cell, Drawn, Paper, draw_title, form, heading
from layouts.papers.kit.table import Column
from layouts.papers.proof.straights import short_runs
from layouts.papers.proof.verdicts import Group, Verdicts, Weight
from layouts.plan.legibility import CONTRAST_FLOOR, contrast_pairs
from layouts.schemes.model import GapRule, Scheme
from layouts.terms.units import inches
from layouts.terms.words import Kind

_MOST_NAMED = 4  # markers named beside a finding
_KINDS = (
    (Kind.PIPE, "Pipe markers"),
    (Kind.EQUIPMENT, "Equipment markers"),
    (Kind.VALVE, "Valve tags"),
)


def draw_cover(
    paper: Paper,
    order: Order,
    markers: Sequence[Marker],
    verdicts: Verdicts,
    schemes: Mapping[str, Scheme],
    day: str | None,
) -> None:
    """Fill the first page, and more where findings or areas are many."""
    paper.block(lambda at: draw_title(paper, order.title, "Proof for approval", at))
    paper.block(lambda at: form(paper, _head_rows(order, markers, day), at))
    paper.space(2.0)
    paper.pin(lambda at: _draw_approval(paper, at))
    _draw_schemes(paper, schemes)
    _draw_findings(paper, verdicts)
    _draw_short_runs(paper, markers)
    paper.heading("Before you install")
    places = ((marker, placing) for marker in markers for placing in marker.placings)
    paper.points(cautions_for(Audience.PROOF, hazards_of(places)))
    _draw_areas(paper, markers)


def scheme_texts(scheme: Scheme) -> list[str]:
    """What the approver must know about one scheme: basis, cutoff, low-contrast pairs."""
    texts = [
        f"{scheme.title}, edition {scheme.edition} ({scheme.standard}). Built from: "
        f"{scheme.built_from}. Not seen: {scheme.missing}."
    ]
    if scheme.cutoff_psig is not None and scheme.levels:
        cutoff = f"{scheme.cutoff_psig:g} psig"
        texts.append(
            "Pressure level by max. normal operating pressure, defrost excluded: above "
            f"{cutoff} HIGH, at or below {cutoff} LOW. Never by the service code."
        )
    if scheme.sizes.rows:
        rule = scheme.sizes.gap_rule
        gaps = "no gaps" if rule is GapRule.NONE else f"gaps, closed by this rule: {rule}"
        texts.append(
            f"Sizes by {scheme.sizes.title}, on the OD over insulation; the table has {gaps}."
        )
    weak = [pair for pair in contrast_pairs(scheme) if pair.ratio < CONTRAST_FLOOR]
    if weak:
        pairs = "; ".join(
            f"{pair.ink} on {pair.field} ({pair.what}) {pair.ratio:.1f}:1" for pair in weak
        )
        texts.append(
            f"Prescribed pairs below a contrast of {CONTRAST_FLOOR}:1, printed as the scheme "
            f"says: {pairs}. Contrast as in WCAG 2.1, 1.4.3, by the inks' luminance."
        )
    return texts


def _more_scheme_texts(scheme: Scheme) -> Iterator[str]:
    """What else the approver should know: plant cutoffs, a second language, open doubts."""
    for cutoff in scheme.cutoffs:
        contents = ", ".join(cutoff.contents)
        yield f"The plant's own cutoff for {contents}: {cutoff.psig:g} psig ({cutoff.source})."
    if scheme.second is not None:
        doubts = any(word.status == "memory" for word in scheme.second.words.values())
        speaker = "; words from memory, to be checked by a speaker at the plant" if doubts else ""
        yield f"Legends in English with {scheme.second.language} below{speaker}."
    for caveat in scheme.caveats:
        if not caveat.blocking:
            yield f"{caveat.what[:1].upper()}{caveat.what[1:]}: {caveat.right}."


def _head_rows(order: Order, markers: Sequence[Marker], day: str | None) -> list[list[Cell]]:
    kinds = Counter[Kind]()
    distinct = Counter[Kind]()
    for marker in markers:
        kinds[marker.plan.kind] += marker.quantity
        distinct[marker.plan.kind] += 1
    return [
        [
            Cell("Plant", order.plant or "–", 2.0),
            Cell("Revision", order.revision or "–"),
            Cell("Date", day or "–"),
        ],
        [
            Cell("Distinct markers", str(len(markers))),
            Cell("Pieces", str(sum(kinds.values()))),
            *(Cell(title, _count_text(kinds[kind], distinct[kind])) for kind, title in _KINDS),
        ],
    ]


def _count_text(pieces: int, distinct: int) -> str:
    return f"{pieces} ({distinct} distinct)" if pieces else "0"


def _draw_schemes(paper: Paper, schemes: Mapping[str, Scheme]) -> None:
    paper.heading("Scheme" if len(schemes) == 1 else "Schemes")
    for key in sorted(schemes):
        first, *rest = scheme_texts(schemes[key])
        paper.paragraph(first)
        paper.points((*rest, *_more_scheme_texts(schemes[key])))


def _draw_findings(paper: Paper, verdicts: Verdicts) -> None:
    counts = ", ".join(
        f"{count} {name}{'s' if plural and count != 1 else ''}"
        for weight, name, plural in (
            (Weight.BLOCKS, "blocking", False),
            (Weight.ACCEPTED, "accepted with a reason", False),
            (Weight.WARNING, "warning", True),
            (Weight.NOTE, "note", True),
        )
        for count in (verdicts.count(weight),)
    )
    paper.heading(f"Findings: {counts}")
    if not verdicts.groups:
        paper.paragraph("No findings.")
        return
    columns = (
        Column("Severity", 17.0),
        Column("Code", 30.0),
        Column("Where", 38.0),
        Column("Finding and remedy", paper.width - 85.0),
    )
    paper.table(
        columns,
        [
            (
                group.weight.value,
                group.first.code,
                _where_text(group.where),
                _finding_text(group),
            )
            for group in verdicts.groups
        ],
    )


def _where_text(where: Sequence[str]) -> str:
    text = ", ".join(each for each in where[:_MOST_NAMED] if each)
    more = len(where) - _MOST_NAMED
    return f"{text} and {more} more" if more > 0 else text


def _finding_text(group: Group) -> str:
    first = group.first
    text = f"{first.what}; {first.right}" if first.right else first.what
    if first.accepted:
        text += f". Accepted: {first.accepted}"
    if group.others:
        text += f" (and {group.others} more like it, shown with the markers)"
    return text


def _draw_short_runs(paper: Paper, markers: Sequence[Marker]) -> None:
    """Straight runs in the list too short for their marker; nothing if all fit."""
    rows = [
        (marker.plan.name, inches(marker.face.measures.length), run)
        for marker in markers
        for run in dict.fromkeys(short_runs(marker))
    ]
    if not rows:
        return
    paper.heading("Straight runs too short for their marker")
    columns = (
        Column("Marker", 40.0),
        Column("Length", 24.0, "right"),
        Column("Place and straight run", paper.width - 64.0),
    )
    paper.table(columns, rows)


def _draw_areas(paper: Paper, markers: Sequence[Marker]) -> None:
    """Pieces by area and kind; their sums are those of the head."""
    areas = defaultdict[str, Counter[Kind]](Counter)
    for marker in markers:
        for placing in marker.placings:
            area = placing.position.area or "no area given"
            areas[area][marker.plan.kind] += placing.count
    paper.heading("Pieces by area")
    columns = (
        Column("Area", paper.width - 4 * 30.0),
        *(Column(title, 30.0, "right") for _, title in _KINDS),
        Column("Total", 30.0, "right"),
    )
    kinds = [kind for kind, _ in _KINDS]
    total = sum(areas.values(), Counter[Kind]())
    rows = [*sorted(areas.items()), ("All areas", total)]
    paper.table(
        columns,
        [
            (area, *(str(counts[kind]) for kind in kinds), str(counts.total()))
            for area, counts in rows
        ],
    )


def _draw_approval(paper: Paper, at: Point) -> Drawn:
    head = heading(paper, "Approval", at)
    text = (
        "Approved for production as drawn on the following pages: wording, colors, sizes, "
        "directions, quantities and builds."
    )
    top = Point(at.x, at.y + head.height)
    said = paper.voices.plain.paragraph(text, top, BODY, paper.width, paper.ink)
    boxes = form(
        paper,
        [
            [Cell("Name", "", 2.0), Cell("Signature", "", 2.0)],
            [Cell("Company", "", 2.0), Cell("Date", ""), Cell("Revision approved", "")],
        ],
        Point(at.x, top.y + said.height + 1.0),
        least=11.0,
    )
    height = head.height + said.height + 1.0 + boxes.height
    return Drawn((*head.items, *said.placements, *boxes.items), height)
