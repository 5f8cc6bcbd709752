"""Everything that an order's markers are made of, added up."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.drawing.inks import InkRole
from layouts.face.model import Part
from layouts.markers.gather import Marker
from layouts.papers.materials.hardware import hung_tags, stand_offs_of, straps_of
from layouts.papers.materials.ink_area import Coverage, enclosed_area
from layouts.papers.materials.model import Bill, Line, Material, Unit, Waste, areas, lengths
from layouts.papers.materials.prices import Prices, priced
from layouts.plan.build import Build
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.terms.units import inches
from layouts.terms.words import PartRole

_OF_ROLE: Mapping[PartRole, Material] = {
    PartRole.FILM: Material.FILM,
    PartRole.PLATE: Material.PLATE,
    PartRole.TAG: Material.TAG,
}
_OVERPRINTED = "overprinted"


def materials(
    markers: Sequence[Marker],
    groups: Sequence[SheetPlan],
    prices: Prices | None,
    coverage: Coverage | None = None,
) -> Bill:
    """The bill of materials of an order.

    Stock is what the sheets and frames of ``groups`` take; ink is what shows of each marker's
    art with its bleed, black that overprints apart from black that does not, and neither marks
    nor slug lines count. Without ``prices`` no line has a cost. ``coverage`` is what is known
    of the parts already.
    """
    builds = {marker.id: marker.plan.build for marker in markers}
    lines = [
        *_stock_lines(groups, builds),
        *_laminate_lines(groups, builds),
        *_ink_lines(markers, groups, coverage or Coverage()),
        *_fixing_lines(markers),
    ]
    order = list(Material)
    lines.sort(key=lambda line: order.index(line.material))
    waste = tuple(_waste(groups, builds))
    if prices is None:
        return Bill(tuple(lines), waste, "", None, ())
    costed = tuple(priced(line, prices) for line in lines)
    total = round(sum(line.cost for line in costed if line.cost is not None), 2)
    missing = tuple(f"{line.name} ({line.lack})" for line in costed if line.cost is None)
    return Bill(costed, waste, prices.currency, total, missing)


def _stock_area(group: SheetPlan) -> float:
    return sum(_sheet_area(sheet) for sheet in group.sheets)


def _sheet_area(sheet: Sheet) -> float:
    """Of all copies."""
    return sheet.copies * sheet.width * sheet.length


def _build_of(group: SheetPlan, builds: Mapping[str, Build]) -> Build:
    """The build that all markers of a group share, as far as it decides the group's stock."""
    return builds[marker_of(next(iter(group.parts)))]


def _item(group: SheetPlan, builds: Mapping[str, Build]) -> str:
    """What the stock itself is, its laminate left out."""
    build = _build_of(group, builds)
    if group.stock.engraved:
        return "engraving stock"
    match group.role:
        case PartRole.FILM:
            base = group.stock.base_text
            return f"{build.film}, {build.adhesive}{', ' + base if base else ''}"
        case PartRole.PLATE:
            return build.plate_material
        case PartRole.TAG:
            return "printed tag board"


def _stock_lines(groups: Iterable[SheetPlan], builds: Mapping[str, Build]) -> Iterator[Line]:
    """Film, plate and tag stock by item and stock: sheets or length, area, and pieces."""
    summed: dict[tuple[Material, str, str], dict[Unit, float]] = {}
    for group in groups:
        for sheet in group.sheets:
            key = _OF_ROLE[group.role], _item(group, builds), sheet.stock.title
            amounts = summed.setdefault(key, {})
            first = (
                lengths(sheet.copies * sheet.length)
                if group.is_roll
                else ((Unit.SHEET, float(sheet.copies)),)
            )
            pieces = (Unit.PIECE, float(sheet.copies * len(sheet.placed)))
            for unit, amount in (*first, *areas(_sheet_area(sheet)), pieces):
                amounts[unit] = amounts.get(unit, 0.0) + amount
    for (material, item, size), amounts in sorted(summed.items()):
        yield Line(material, item, size, tuple(amounts.items()))


def _laminate_lines(groups: Iterable[SheetPlan], builds: Mapping[str, Build]) -> Iterator[Line]:
    """Laminate covers whole sheets and frames, edge to edge."""
    summed: dict[str, float] = defaultdict(float)
    for group in groups:
        laminate = _build_of(group, builds).laminate
        if laminate and group.role is not PartRole.PLATE and not group.stock.engraved:
            summed[laminate] += _stock_area(group)
    for laminate, area in sorted(summed.items()):
        yield Line(Material.LAMINATE, laminate, "", areas(area))


def _ink_lines(
    markers: Iterable[Marker], groups: Iterable[SheetPlan], coverage: Coverage
) -> Iterator[Line]:
    """What the stocks make of the markers: no ink in the color of the film, white under others.

    Parts on no sheet count as they are drawn.
    """
    summed: dict[tuple[str, str], float] = defaultdict(float)
    for part, count in _made_parts(markers, groups):
        for key, area in _inks(part, coverage).items():
            summed[key] += area * count
    for (name, kind), area in sorted(summed.items()):
        yield Line(Material.INK, name, kind, areas(area))


def _made_parts(
    markers: Iterable[Marker], groups: Iterable[SheetPlan]
) -> Iterator[tuple[Part, int]]:
    """Every part as its stock makes it, with its number."""
    placed: set[tuple[str, PartRole]] = set()
    for group in groups:
        made: Counter[str] = Counter()
        for sheet in group.sheets:
            for placed in sheet.placed:
                made[placed.name] += sheet.copies
        for name, count in made.items():
            placed.add((marker_of(name), group.role))
            yield group.parts[name], count
    for marker in markers:
        for part in marker.face.parts:
            if (marker.id, part.role) not in placed:
                yield part, marker.quantity


def _inks(part: Part, coverage: Coverage) -> dict[tuple[str, str], float]:
    """Area by ink on one part, what overprints apart."""
    cover = coverage.of(part)
    found: dict[tuple[str, str], float] = {}
    for ink, area in cover.inks.items():
        above = cover.overprinted[ink]
        if ink.role is InkRole.WHITE:
            found[ink.name, "underprint"] = area
            continue
        if above:
            found[ink.name, _OVERPRINTED] = above
        if area > above + 1e-9:
            found[ink.name, ""] = area - above
    return found


def _fixing_lines(markers: Sequence[Marker]) -> Iterator[Line]:
    """Straps by length, stand-offs by height, and what tags hang on."""
    for (strap, length), count in sorted(straps_of(markers).items()):
        amounts = ((Unit.PIECE, float(count)), *lengths(count * length))
        yield Line(Material.STRAP, strap, f"{inches(length)} long", amounts)
    for height, count in sorted(stand_offs_of(markers).items()):
        yield Line(Material.STAND_OFF, "", f"{inches(height)} high", ((Unit.PIECE, float(count)),))
    if tags := hung_tags(markers):
        yield Line(Material.TAG_WIRE, "", "for a tag", ((Unit.PIECE, float(tags)),))


def _waste(groups: Iterable[SheetPlan], builds: Mapping[str, Build]) -> Iterator[Waste]:
    """One row for each item and stock, as the lines of the stock have."""
    summed: dict[tuple[Material, str, str], tuple[float, float]] = {}
    for group in groups:
        net = {name: enclosed_area(part.outline) for name, part in group.parts.items()}
        for sheet in group.sheets:
            key = _OF_ROLE[group.role], _item(group, builds), sheet.stock.title
            made = sheet.copies * sum(net[placed.name] for placed in sheet.placed)
            stock_so_far, finished_so_far = summed.get(key, (0.0, 0.0))
            summed[key] = stock_so_far + _sheet_area(sheet), finished_so_far + made
    for (_, item, size), (stock, finished) in sorted(summed.items()):
        yield Waste(item, size, stock, finished)
