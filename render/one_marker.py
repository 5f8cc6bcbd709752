"""One marker from plain words, for the single commands and ``pipelegend.marker``.

Words go in as a list would hold them. Findings come out with the caller's names: the column
``covering_in`` is ``--covering`` to the command and ``covering`` to Python.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cache
from pathlib import Path
from typing import cast

from layouts.drawing import IDENTITY, Rect
from layouts.drawing.document import Document, Layer, Page, Placement
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.review.acceptances import idle_acceptances
from layouts.terms.errors import BlockedError, InputError
from layouts.terms.findings import Finding, Place
from layouts.terms.values import frozen
from layouts.terms.words import Kind
from render.decide import decide
from render.draw import DecidedMarker, decide_marker, drawn_bytes
from render.options import Options
from render.read.one_row import order_of_row
from render.shop.shopfile import load_shop

Spelling = Callable[[str], str]  # a word's name as the caller spells it
Assignment = Callable[[str, str], str]  # a word with a value, as the caller spells it

# Words whose heading in a list has a different name, most because of the unit at its end.
_HEADINGS = {
    "psig": "pressure_psig",
    "covering": "covering_in",
    "od": "od_in",
    "girth": "girth_in",
    "surface": "surface_f",
    "applied_at": "applied_f",
    "operating": "operating_f",
    "frost": "frost_in",
    "viewing": "viewing_ft",
    "straight": "straight_in",
    "letter": "letter_in",
    "length": "length_in",
    "same_letter": "neighbor_letter_in",
    "same_height": "neighbor_height_in",
    "same_length": "neighbor_length_in",
    "size": "valve_size",
    "normal": "normal_position",
    "name": "legend",
    "from_": "from",
}
# Choices that an order makes once for all its markers.
_ACCEPT = "accept"
_CHOICES = ("scheme", "face", "color", "cutoff")
_WORDS = {heading: word for word, heading in _HEADINGS.items()}
# A machine's name may be under either heading of a list; a pipe's legend and a valve's
# function are words of their own.
_EQUIPMENT = {"legend": "name", "function": "name"}
_OWN_WORDS = {"legend": "legend"}
_COLUMN = re.compile(r"\b(?:in )?the column '(\w+)'")
_ASSIGNED = re.compile(r"\b(run|flow|side|lines) = (\w+)")
_ASKED = re.compile(r"(?<=\bgive )(?:flow|state|pipe|level)\b(?= and|,|:)|(?<= or )level$")
_CHOSEN = re.compile(r"\bchoose (one|a color for them) on the sheet Order: color, .+?, (\w+)")
_HEADING = re.compile(rf"\b(?:{'|'.join(name for name in _WORDS if '_' in name)})\b")


@frozen
class Door:
    """How a caller spells the name of a word, and a word with its value."""

    name: Spelling
    assigned: Assignment


@frozen
class Files:
    """Files used to draw a marker, and the shop stock that it is tiled over."""

    shop: Path | None = None
    font: Path | None = None
    profile: Path | None = None
    paper: str = ""


@frozen
class Drawing:
    """A marker drawn at true size, ready to be written in any format.

    A line read from both sides gives two markers on one page.
    """

    markers: tuple[Marker, ...]
    findings: tuple[Finding, ...]
    _document: Callable[[], Document] = field(repr=False)
    _options: Options = field(repr=False)

    @property
    def id(self) -> str:
        """The eight characters that name the design of the first marker."""
        return self.markers[0].id

    @property
    def words(self) -> str:
        """The text on the first marker."""
        return self.markers[0].face.words

    @property
    def size(self) -> tuple[float, float]:
        """Length and height of the first marker, in mm."""
        measures = self.markers[0].face.measures
        return measures.length, measures.height

    @property
    def reasons(self) -> tuple[str, ...]:
        """The reason for each choice of the first marker, one text per choice."""
        texts = (f"{each.topic}: {each.text}" for each in self.markers[0].plan.reasons)
        return tuple(dict.fromkeys(texts))

    def pdf(self) -> bytes:
        """A print file with cut contours, notes and dimensions on separate layers."""
        return self.data(".pdf")

    def svg(self) -> bytes:
        """The same page as SVG, in mm.

        Raises:
            OutputError: the marker is tiled over several pages.
        """
        return self.data(".svg")

    def dxf(self) -> bytes:
        """The contours for a cutter.

        Raises:
            OutputError: the marker is tiled over several pages.
        """
        return self.data(".dxf")

    def png(self) -> bytes:
        """The page as a picture at 150 dots an inch.

        Raises:
            OutputError: cairo is not installed, or the marker is tiled.
        """
        return self.data(".png")

    def data(self, suffix: str) -> bytes:
        """The bytes of a file whose name ends in ``suffix``: .pdf, .svg, .dxf or .png.

        Raises:
            OutputError: the suffix is none of these, or its format holds one page of several.
        """
        role = self.markers[0].face.parts[0].role
        return drawn_bytes(self._document(), suffix, self._options, role)

    def face_svg(self) -> bytes:
        """The face of the first marker only, as SVG at full size.

        It is meant for a screen: no cut contours, notes or dimensions, and the area that the cut
        removes is covered in white.
        """
        return face_picture(self.markers[0])


def face_picture(marker: Marker) -> bytes:
    """The face of a marker only, as SVG at full size, for a screen."""
    from layouts.papers.kit.figure import face_symbol, printed_part
    from render.write import svg

    symbol, size = face_symbol(marker.face), printed_part(marker.face).size
    box = Rect(0.0, 0.0, size.width, size.height)
    layer = Layer("Print", (Placement(symbol.id, IDENTITY),))
    page = Page(f"face-{marker.id}", marker.face.words, size, box, box, (layer,))
    return svg.write_page(page, {symbol.id: symbol})


def draw_words(kind: Kind, words: Mapping[str, object], files: Files, door: Door) -> Drawing:
    """The marker that the words describe; empty words count as not given.

    Raises:
        InputError: a word cannot be read, or the marker is impossible.
        BlockedError: it must not be printed as it stands.
    """
    try:
        given = {word: str(words[word]) for word in _CHOICES if words.get(word) not in (None, "")}
        ours = (*_CHOICES, _ACCEPT)
        cells = cells_of(kind, {w: value for w, value in words.items() if w not in ours})
        order, notes = order_of_row(cells, given, _accepted(words))
        options = Options(load_shop(files.shop), font=files.font, profile=files.profile)
        _refuse_faulty(order, notes, options)
        decided = _decide(order, options, files.paper)
    except (InputError, BlockedError) as error:
        spelled = [spell(finding, kind, door) for finding in error.findings]
        raise type(error)(spelled) from error
    found = (*notes, *decided.findings, *_idle(order, decided.findings))
    spoken = tuple(spell(each, kind, door) for each in found)
    # The page is laid out once, when the first file is asked for.
    return Drawing(decided.markers, spoken, cache(decided.document), options)


def _decide(order: Order, options: Options, paper: str) -> DecidedMarker:
    """The marker; where it is blocked, what was accepted for nothing is told as well.

    Raises:
        InputError: the marker is impossible.
        BlockedError: it must not be printed as it is.
    """
    try:
        return decide_marker(order, options, paper)
    except BlockedError as error:
        raise BlockedError([*error.findings, *_idle(order, error.findings)]) from error


def _idle(order: Order, findings: Iterable[Finding]) -> Iterator[Finding]:
    """A note for each acceptance that no finding asks for, under the word that gave it."""
    for each in idle_acceptances(order, findings):
        yield replace(each, right="correct its code, or leave it out", place=Place(field=_ACCEPT))


def _accepted(words: Mapping[str, object]) -> Mapping[str, str]:
    """Reasons by code, from a mapping or from texts such as ``run-short=seen on site``."""
    given = words.get(_ACCEPT) or {}
    if isinstance(given, Mapping):
        return {str(code): str(reason) for code, reason in given.items()}
    texts = [given] if isinstance(given, str) else list(cast(Iterable[str], given))
    parts = (text.partition("=") for text in texts)
    return {code.strip(): reason.strip() for code, _, reason in parts}


def _refuse_faulty(order: Order, notes: Sequence[Finding], options: Options) -> None:
    """Refuse words that cannot be read, and report every other fault with them.

    Raises:
        InputError: a word cannot be read.
    """
    faulty = {each.place.field for each in notes if each.blocks}
    if not faulty:
        return
    judged = decide(order, options).gathered.findings
    raise InputError([*notes, *(each for each in judged if each.place.field not in faulty)])


def cells_of(kind: Kind, words: Mapping[str, object]) -> dict[str, str]:
    """The words as cells under a list's headings: yes for True; empty words are left out."""
    own = {} if kind is Kind.EQUIPMENT else {"name": "function"}
    cells = {"kind": str(kind)}
    for word, value in words.items():
        if value is None or value is False or value == "":
            continue
        text = "yes" if value is True else str(value)
        cells[_HEADINGS.get(word, own.get(word, word))] = text
    return cells


def spell(finding: Finding, kind: Kind, door: Door) -> Finding:
    """The finding, with each list heading in it spelled the way the caller spells it.

    A fault of a file, such as the shop's, stays as it is.
    """
    if finding.place.file:
        return finding
    own = _EQUIPMENT if kind is Kind.EQUIPMENT else _OWN_WORDS

    def named(heading: str) -> str:
        return door.name(own.get(heading, _WORDS.get(heading, heading)))

    def spelled(text: str) -> str:
        text = _COLUMN.sub(
            lambda found: f"{'with ' if found[0].startswith('in') else ''}{named(found[1])}", text
        )
        text = _ASSIGNED.sub(lambda found: door.assigned(found[1], found[2]), text)
        text = _CHOSEN.sub(
            lambda found: f"choose {found[1]} with {door.assigned('color', found[2])}", text
        )
        text = _ASKED.sub(lambda found: named(found[0]), text)
        return _HEADING.sub(lambda found: named(found[0]), text)

    field_name = named(finding.place.field) if finding.place.field else ""
    place = replace(finding.place, row=None, sheet="", cell="", heading="", field=field_name)
    return replace(finding, what=spelled(finding.what), right=spelled(finding.right), place=place)
