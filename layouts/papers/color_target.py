"""The target sheet: a patch of each ink, named, at a size that instruments read."""

from collections.abc import Iterable

from layouts.drawing import Point, Rect, Size, rectangle
from layouts.drawing.document import Document, Fill, Item, Layer, Page, Stroke
from layouts.drawing.inks import Ink, InkRole
from layouts.drawing.typeset import Typesetter
from layouts.terms.errors import OutputError
from layouts.terms.values import frozen

LETTER = Size(215.9, 279.4)  # US letter (ANSI/ASME Y14.1 size A)
_PRINTED = (InkRole.COLOR, InkRole.BLACK, InkRole.PAPER)
# A hand-held instrument needs about 15 mm around its aperture: common practice, no source.
_PATCH, _GAP, _LABELS = 25.0, 6.0, 10.0
_MARGIN, _HEAD = 14.0, 16.0
_TITLE_SIZE, _LABEL_SIZE = 3.5, 1.6  # cap heights
_FRAME = 0.1


@frozen
class Patch:
    """One patch: its place on the sheet, a letter for the row and a number, and its ink.

    With a ``field`` the ink overprints that one, as a black legend does.
    """

    id: str
    ink: Ink
    field: Ink | None = None

    @property
    def name(self) -> str:
        """The label below the patch, also its name in the readings."""
        return pair_name(self.ink, self.field) if self.field else self.ink.name


def pair_name(legend: Ink, field: Ink) -> str:
    """The name of a legend's patch on a field."""
    return f"{legend.name} on {field.name}"


def patches_of(
    inks: Iterable[Ink], pairs: Iterable[tuple[Ink, Ink]] = (), width: float = LETTER.width
) -> tuple[Patch, ...]:
    """The patches of a sheet of this width (mm): the inks in their order, then the pairs.

    A (field, legend) pair has its own patch if the legend is black, which overprints.
    Underprints and cut lines have none. Rows go A to Z.

    Raises:
        OutputError: there are more patches than a sheet has rows for.
    """
    columns = _columns(width)
    wanted: list[tuple[Ink, Ink | None]] = [(ink, None) for ink in inks if ink.role in _PRINTED]
    wanted += ((legend, field) for field, legend in pairs if legend.role is InkRole.BLACK)
    if len(wanted) > 26 * columns:
        raise OutputError(f"a target holds {26 * columns} patches at most, not {len(wanted)}")
    return tuple(
        Patch(f"{chr(ord('A') + n // columns)}{n % columns + 1}", ink, field)
        for n, (ink, field) in enumerate(wanted)
    )


def target_sheet(
    inks: Iterable[Ink],
    setter: Typesetter,
    text_ink: Ink,
    pairs: Iterable[tuple[Ink, Ink]] = (),
    title: str = "Color target",
    size: Size = LETTER,
) -> Document:
    """Patches of 25 mm with id and name below each, on as many pages as it takes.

    Args:
        inks: those of a scheme; each of a role that prints becomes a patch.
        setter: sets the names.
        text_ink: the ink of names and frames, usually black.
        pairs: (field, legend) pairs of the scheme; black legends are printed on their fields.
        title: heads every page.
        size: of the page, in mm.
    """
    patches = patches_of(inks, pairs, size.width)
    columns, rows = _columns(size.width), _rows(size.height)
    a_page = columns * rows
    pages = tuple(
        _page(patches[start : start + a_page], setter, text_ink, title, size, number)
        for number, start in enumerate(range(0, len(patches), a_page), start=1)
    )
    return Document("color-target", title, pages, setter.symbols())


def _page(
    patches: tuple[Patch, ...], setter: Typesetter, ink: Ink, title: str, size: Size, number: int
) -> Page:
    items: list[Item] = [
        *setter.line(title, Point(_MARGIN, _MARGIN + _TITLE_SIZE), _TITLE_SIZE, ink)
    ]
    for index, patch in enumerate(patches):
        row, column = divmod(index, _columns(size.width))
        corner = Point(
            _MARGIN + column * (_PATCH + _GAP),
            _MARGIN + _HEAD + row * (_PATCH + _GAP + _LABELS),
        )
        items += _patch(patch, corner, setter, ink)
    sheet = Rect(0.0, 0.0, size.width, size.height)
    layers = (Layer("print", tuple(items)),)
    return Page(f"target-{number}", f"{title}, page {number}", size, sheet, sheet, layers)


def _patch(patch: Patch, corner: Point, setter: Typesetter, ink: Ink) -> list[Item]:
    box = rectangle(Rect(corner.x, corner.y, _PATCH, _PATCH))
    if patch.ink.role is InkRole.PAPER:
        # Nothing is printed inside: the instrument reads the bare film.
        items: list[Item] = [Stroke(box, ink, _FRAME)]
    else:
        items = [Fill(box, patch.field)] if patch.field else []
        items.append(Fill(box, patch.ink, overprint=patch.field is not None))
    below = Point(corner.x, corner.y + _PATCH + 2.5 * _LABEL_SIZE - 1)
    items += setter.line(patch.id, below, _LABEL_SIZE, ink)
    for line in setter.wrap(patch.name, _LABEL_SIZE, _PATCH):
        below = Point(below.x, below.y + 1.8 * _LABEL_SIZE)
        items += setter.line(line, below, _LABEL_SIZE, ink)
    return items


def _columns(width: float) -> int:
    return max(1, int((width - 2 * _MARGIN + _GAP) // (_PATCH + _GAP)))


def _rows(height: float) -> int:
    return max(1, int((height - 2 * _MARGIN - _HEAD + _GAP) // (_PATCH + _GAP + _LABELS)))
