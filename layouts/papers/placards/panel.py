"""One sign at its full size: a heading in its colored field, the plant's words below it.

Lengths are mm from the finished sign's top-left corner. Letters are as large as their place
lets them be, and never smaller than the rule of reading distance asks for.
"""

from __future__ import annotations

from collections.abc import Sequence

from layouts.drawing import Point, Rect, rectangle
from layouts.drawing.document import Fill, Item
from layouts.drawing.inks import Ink, InkRole
from layouts.drawing.lettering import missing
from layouts.drawing.typefaces import Typefaces
from layouts.drawing.typeset import PITCH, Typesetter
from layouts.order.safety_sign import SafetySign
from layouts.papers.placards.diamond import diamond_items
from layouts.plan.legibility import letter_for_distance
from layouts.schemes.door_signs import SignForm, SignForms
from layouts.schemes.model import Scheme
from layouts.terms.units import MM_PER_INCH
from layouts.terms.values import frozen
from layouts.terms.words import SignKind

BLEED = 3.0
_EDGE = 0.5 * MM_PER_INCH  # from the sign's edge to its letters
_LARGEST = 2.6  # letters in place of the least that the rule asks for
_SMALLER = 0.96  # from one size tried to the next
_INDENT = 2.6  # of a step behind its number, in letter heights
_GAP = 0.7  # between two steps, in letter heights
_BANNER = 0.42  # of the sign, where words follow the heading


@frozen
class SetWords:
    """Words of a sign, the letter height that their place gives, and the least that is legible.

    ``size`` is None where they do not fit at the least.
    """

    what: str
    text: str
    size: float | None
    least: float


@frozen
class Panel:
    """A sign as it is printed: its finished box, its items with their bleed, its words."""

    sign: SafetySign
    form: SignForm
    trim: Rect
    items: tuple[Item, ...]
    words: tuple[SetWords, ...]

    @property
    def fits(self) -> bool:
        """Whether every word has its place."""
        return all(each.size is not None for each in self.words)


class SignSetters:
    """The typesetters of signs, letters as outlines, so that no font is needed to print them."""

    def __init__(self, typefaces: Typefaces) -> None:
        self._dark, self._light = Typesetter(typefaces.dark), Typesetter(typefaces.light)
        self._text = Typesetter(typefaces.text)
        self._typefaces = typefaces

    def of(self, text: str, ink: Ink) -> Typesetter:
        """The legends' typeface for the ink, or that of texts where it lacks a letter."""
        if missing(self._typefaces.for_ink(ink), text):
            return self._text
        return self._light if ink.role is InkRole.PAPER else self._dark

    def lost(self, text: str) -> tuple[str, ...]:
        """Characters that no typeface of the job has."""
        if not missing(self._typefaces.dark, text):
            return ()
        return missing(self._typefaces.text, text)

    def all(self) -> tuple[Typesetter, ...]:
        """Every one of them."""
        return self._dark, self._light, self._text


def draw_panel(
    sign: SafetySign, forms: SignForms, scheme: Scheme, setters: SignSetters
) -> Panel | None:
    """The sign, or None for a diamond without ratings: none is ever assumed."""
    form = forms.forms[sign.kind]
    trim = Rect(0.0, 0.0, sign.width or form.width, sign.height or form.height)
    inks = scheme.inks
    board = _Board(trim, form, sign, inks[form.field], inks[form.ink], inks["black"], setters)
    if sign.kind is SignKind.DIAMOND:
        if sign.ratings is None:
            return None
        _draw_diamond(board, sign.ratings, forms.quarter, scheme)
    elif sign.kind is SignKind.KING_VALVE:
        _draw_placard(board)
    else:
        _draw_door_sign(board)
    white = Fill(rectangle(trim.grown(BLEED)), inks["white"])
    return Panel(sign, form, trim, (white, *board.items), tuple(board.words))


class _Board:
    """What is on a sign while it is drawn."""

    def __init__(
        self,
        trim: Rect,
        form: SignForm,
        sign: SafetySign,
        field: Ink,
        ink: Ink,
        black: Ink,
        setters: SignSetters,
    ) -> None:
        self.trim, self.form, self.sign = trim, form, sign
        self.field, self.ink, self.black = field, ink, black
        self.setters = setters
        self.least = letter_for_distance(sign.viewing_distance or form.read_from)
        self.items: list[Item] = []
        self.words: list[SetWords] = []

    def fill(self, bottom: float) -> None:
        """The field from the top to ``bottom``, with its bleed."""
        box = Rect(-BLEED, -BLEED, self.trim.width + 2 * BLEED, bottom + BLEED)
        self.items.append(Fill(rectangle(box), self.field))

    def write(self, what: str, text: str, box: Rect, ink: Ink, most: float = _LARGEST) -> None:
        """Words in the middle of a box, as large as it lets them be."""
        setter = self.setters.of(text, ink)
        size = _fit_letters(setter, [text], box, _sizes(self.least, most))
        self.words.append(SetWords(what, text, size, self.least))
        if size is not None:
            high = len(setter.wrap(text, size, box.width)) * PITCH * size
            top = Point(box.x, box.y + (box.height - high) / 2)
            self.items += setter.paragraph(text, top, size, box.width, ink, "center").placements


def _draw_door_sign(board: _Board) -> None:
    text = board.sign.text or board.form.words
    within = board.trim.grown(-_EDGE)
    bottom = _BANNER * board.trim.height
    board.fill(bottom)
    banner = Rect(within.x, within.y, within.width, bottom - within.y - _EDGE / 2)
    board.write("heading", board.form.heading, banner, board.ink)
    room = Rect(within.x, bottom + _EDGE / 2, within.width, within.bottom - bottom - _EDGE / 2)
    board.write("text", text, room, board.black)


def _draw_placard(board: _Board) -> None:
    """Heading and valve number in the field, the numbered steps below, read from nearer."""
    form, sign, within = board.form, board.sign, board.trim.grown(-_EDGE)
    bottom = 0.3 * board.trim.height
    board.fill(bottom)
    half = (bottom - within.y - _EDGE / 2) / 2
    head = Rect(within.x, within.y, within.width, half)
    board.write("heading", form.heading, head, board.ink)
    board.write("text", sign.text, head.moved(0.0, half), board.ink)
    least = letter_for_distance(form.steps_from)
    room = Rect(within.x, bottom + _EDGE / 2, within.width, within.bottom - bottom - _EDGE / 2)
    setter = board.setters.of(" ".join(sign.steps), board.black)
    size = _fit_letters(setter, sign.steps, room, _sizes(least, _LARGEST), _GAP)
    board.words.append(SetWords("steps", " ".join(sign.steps), size, least))
    if size is None:
        return
    top, indent = room.y, _INDENT * size
    for number, step in enumerate(sign.steps, 1):
        base = Point(room.x, top + PITCH * size / 2 + size / 2)
        board.items += setter.line(f"{number}.", base, size, board.black)
        corner = Point(room.x + indent, top)
        block = setter.paragraph(step, corner, size, room.width - indent, board.black)
        board.items += block.placements
        top += block.height + _GAP * size


def _draw_diamond(
    board: _Board, ratings: tuple[int, int, int], quarter: float, scheme: Scheme
) -> None:
    """The diamond, as large as the sign lets it be, over the plant's words for what is in it."""
    within = board.trim.grown(-_EDGE)
    caption = 1.6 * PITCH * board.least if board.sign.text else 0.0
    box = Rect(within.x, within.y, within.width, within.height - caption)
    wide = min(box.width, box.height)
    figure = wide / (2.0 * quarter * 2.0**0.5)
    board.words.append(
        SetWords("ratings", "", figure if figure >= board.least else None, board.least)
    )
    special = board.sign.special
    board.items += diamond_items(
        box.center, figure, quarter, ratings, special, scheme.inks, board.setters.of
    )
    if board.sign.text:
        below = Rect(within.x, within.bottom - caption, within.width, caption)
        board.write("text", board.sign.text, below, board.black, 1.4)


def _fit_letters(
    setter: Typesetter, texts: Sequence[str], room: Rect, sizes: Sequence[float], gap: float = 0.0
) -> float | None:
    """The first letter height at which the texts fit below each other; None if none does.

    Words stay whole. ``gap`` is the air between two texts in letter heights; texts with one are
    indented behind their numbers.
    """
    indent = _INDENT if gap else 0.0
    for size in sizes:
        width = room.width - indent * size
        lines = sum(len(setter.wrap(text, size, width)) for text in texts)
        high = (lines * PITCH + (len(texts) - 1) * gap) * size
        words = (word for text in texts for word in text.split())
        if high <= room.height and all(setter.width(word, size) <= width for word in words):
            return size
    return None


def _sizes(least: float, most: float) -> list[float]:
    """Letter heights from the most times the least down to the least itself."""
    found, size = [], most * least
    while size > least:
        found.append(size)
        size *= _SMALLER
    return [*found, least]
