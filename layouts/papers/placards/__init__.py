"""Signs beside the pipes: one full-size sign per page, and a paper that lists them.

The wording of a sign is the plant's. A diamond without ratings is not drawn, and the paper says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain

from layouts.drawing import Affine, Point, Size, rectangle
from layouts.drawing.document import Document, Layer, Page, Placement, Step, Symbol
from layouts.drawing.inks import BLACK
from layouts.drawing.typefaces import Typefaces
from layouts.order.order import Order
from layouts.order.safety_sign import SafetySign
from layouts.pages.steps import move_item, step_strokes
from layouts.papers.kit.cautions import Audience, cautions_for
from layouts.papers.kit.paper import Cell, Paper, draw_title, form, running_lines, voices_of
from layouts.papers.kit.table import Column
from layouts.papers.packs import file_names
from layouts.papers.placards.panel import BLEED, Panel, SignSetters, draw_panel
from layouts.plan.legibility import LETTER_PER_DISTANCE_SOURCE, reading_distance
from layouts.schemes.loader import load_scheme, load_signs
from layouts.schemes.model import Scheme
from layouts.sheets.stock import Printer
from layouts.terms.counts import counted
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.units import MM_PER_FOOT, inches

_KIND = "Signs beside the pipes"
_MARGIN = 14.0
_CORNER = 6.0
_SLUG = 2.0
NOT_MADE = "not made: the plant gave no ratings, and none is assumed"


def sign_findings(
    order: Order, schemes: Mapping[str, Scheme], typefaces: Typefaces
) -> Iterator[Finding]:
    """Findings for signs that are not made, have no room for their words, or lack a glyph.

    The last two cannot be accepted: the sign would hang with words missing.
    """
    setters = SignSetters(typefaces)
    for number, sign in enumerate(order.signs, 1):
        place = Place(field=f"signs {number}", marker=_name(sign))
        panel = _panel(order, sign, schemes, setters)
        if panel is None:
            what, right = f"the diamond is {NOT_MADE}", "give health, fire and instability"
            yield Finding("sign-without-ratings", Severity.WARNING, what, right, place=place)
            continue
        said = " ".join((sign.text, *sign.steps))
        if lost := setters.lost(said):
            what = f"no typeface of the job has {' '.join(lost)}"
            right = "write it otherwise, or choose a font that has it"
            yield Finding("sign-letter-missing", Severity.UNREADABLE, what, right, place=place)
        for words in panel.words:
            if words.size is None:
                far = reading_distance(words.least) / MM_PER_FOOT
                what = (
                    f"the {words.what} cannot go on {_size(panel)} in letters of "
                    f"{inches(words.least)}, which read from {far:.0f} ft"
                )
                right = "make the sign larger, or say it in fewer words"
                source = LETTER_PER_DISTANCE_SOURCE
                yield Finding("sign-too-small", Severity.UNREADABLE, what, right, source, place)


def sign_documents(
    order: Order,
    schemes: Mapping[str, Scheme],
    typefaces: Typefaces,
    printer: Printer,
    date: str | None = None,
) -> Mapping[str, Document]:
    """Every sign on its own page, full size, with bleed and trim line, by its file name."""
    made: dict[str, Document] = {}
    for number, sign in enumerate(order.signs, 1):
        setters = SignSetters(typefaces)
        panel = _panel(order, sign, schemes, setters)
        if panel is None:
            continue
        page = _page(panel, number, setters, printer)
        symbols: dict[str, Symbol] = {}
        for setter in setters.all():
            symbols |= setter.symbols()
        day = order.date or date
        name = _file_name(number, sign)
        made[name] = Document(page.id, page.title, (page,), symbols, day, full_size=True)
    return made


def _page(panel: Panel, number: int, setters: SignSetters, printer: Printer) -> Page:
    trim = panel.trim
    to_page = Affine.move(_MARGIN, _MARGIN)
    size = Size(trim.width + 2 * _MARGIN, trim.height + 2 * _MARGIN)
    title = f"{_name(panel.sign)}, {_size(panel)}, full size"
    below = Point(_MARGIN, _MARGIN + trim.height + BLEED + 3 * _SLUG)
    slug: tuple[Placement, ...] = setters.of(title, BLACK).line(title, below, _SLUG, BLACK)
    cut = step_strokes((rectangle(trim, _CORNER).mapped(to_page),), Step.THROUGH_CUT, printer)
    layers = (
        Layer("Print", tuple(move_item(item, to_page) for item in panel.items)),
        Layer("Slug", slug),
        Layer(Step.THROUGH_CUT.title, cut, Step.THROUGH_CUT),
    )
    placed = trim.moved(_MARGIN, _MARGIN)
    return Page(f"sign-{number}", title, size, placed, placed.grown(BLEED), layers)


def sign_paper(
    order: Order, schemes: Mapping[str, Scheme], typefaces: Typefaces, date: str | None = None
) -> Document:
    """The signs listed on US letter pages: wording, size, reading distance, and why."""
    day = order.date or date
    paper = Paper(running_lines(_KIND, order, day), voices_of(typefaces), BLACK)
    paper.block(lambda at: draw_title(paper, order.title, _KIND, at))
    paper.block(lambda at: form(paper, [_head(order, day)], at))
    paper.heading("Before a sign hangs")
    paper.points(cautions_for(Audience.SIGNS))
    paper.heading(counted(len(order.signs), "sign"))
    setters = SignSetters(typefaces)
    rows = [
        _row(number, sign, _panel(order, sign, schemes, setters))
        for number, sign in enumerate(order.signs, 1)
    ]
    whole = sum(share for _, share in _COLUMNS)
    columns = [Column(title, paper.width * share / whole) for title, share in _COLUMNS]
    paper.table(columns, rows)
    paper.space(3.0)
    forms = load_signs()
    paper.heading("Where this is from")
    kinds = dict.fromkeys(sign.kind for sign in order.signs)
    told = (forms.forms[kind] for kind in kinds)
    sources = [f"{each.title}: {each.source}." for each in told]
    letters = f"Letters: {LETTER_PER_DISTANCE_SOURCE}."
    quarters = f"Proportions of a diamond: {forms.quarter_source}."
    colors = "Colors, sizes and headings are our own choices (common practice, no source)."
    paper.points([*sources, letters, quarters, colors])
    paper.space(3.0)
    signed = [Cell("Checked by", "", 2.0), Cell("Date", ""), Cell("Signature", "", 2.0)]
    paper.block(lambda at: form(paper, [signed], at, least=11.0))
    pages = paper.finish("signs", _KIND)
    return Document("signs", f"{_KIND}: {order.title}", pages, paper.voices.symbols(), day)


_COLUMNS = (
    *(("No.", 5.0), ("Sign", 16.0), ("Says", 40.0), ("Area", 14.0), ("Size", 12.0)),
    ("Smallest letters, read from", 18.0),
)


def _head(order: Order, day: str | None) -> list[Cell]:
    revision = Cell("List: revision", order.revision or "–")
    return [Cell("Plant", order.plant or "–", 2.0), revision, Cell("Date", day or "–")]


def _row(number: int, sign: SafetySign, panel: Panel | None) -> tuple[str, ...]:
    first = (str(number), load_signs().forms[sign.kind].title)
    if panel is None:
        return (*first, NOT_MADE, sign.area, "", "")
    said = filter(None, (panel.form.heading, _ratings(sign), sign.text or panel.form.words))
    steps = (f"{at}. {step}" for at, step in enumerate(sign.steps, 1))
    smallest = min((each.size or each.least for each in panel.words), default=0.0)
    far = reading_distance(smallest) / MM_PER_FOOT
    read = f"{inches(smallest)}, {far:.0f} ft"
    return (*first, "\n".join(chain(said, steps)), sign.area, _size(panel), read)


def _ratings(sign: SafetySign) -> str:
    if sign.ratings is None:
        return ""
    health, fire, instability = sign.ratings
    special = f", special {sign.special}" if sign.special else ""
    return f"Health {health}, fire {fire}, instability {instability}{special}"


def _panel(
    order: Order, sign: SafetySign, schemes: Mapping[str, Scheme], setters: SignSetters
) -> Panel | None:
    # The order's own scheme is not among those in use if no marker follows it.
    scheme = schemes[order.scheme] if order.scheme in schemes else load_scheme()
    return draw_panel(sign, load_signs(), scheme, setters)


def _name(sign: SafetySign) -> str:
    title = load_signs().forms[sign.kind].title
    return ", ".join(filter(None, (title, sign.area)))


def _size(panel: Panel) -> str:
    return f"{inches(panel.trim.width)} x {inches(panel.trim.height)}"


def _file_name(number: int, sign: SafetySign) -> str:
    area = file_names([sign.area])[sign.area] if sign.area else ""
    return "-".join(filter(None, (f"{number:02d}", str(sign.kind), area)))
