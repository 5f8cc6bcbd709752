"""The materials of an order's markers, added up."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from layouts.drawing.inks import InkRole
from layouts.face.model import Part
from layouts.markers.gather import Marker
from layouts.papers.materials.hardware import (
    ENGRAVING_STOCK,
    STAND_OFF,
    TAG_WIRE,
    film_kind,
    hung_tags,
    specification_of,
    stand_offs_of,
    straps_of,
)
from layouts.papers.materials.ink_area import Coverage, enclosed_area
from layouts.papers.materials.model import (
    Bill,
    Line,
    Material,
    Purchase,
    Unit,
    Waste,
    areas,
    lengths,
)
from layouts.papers.materials.prices import Prices, price_line
from layouts.plan.build import Build
from layouts.schemes.loader import load_practice
from layouts.sheets.pieces import marker_of
from layouts.sheets.sheetplan import Sheet, SheetPlan
from layouts.terms.units import feet, inches
from layouts.terms.words import PartRole

_OF_ROLE: Mapping[PartRole, Material] = {
    PartRole.FILM: Material.FILM,
    PartRole.PLATE: Material.PLATE,
    PartRole.TAG: Material.TAG,
}
_StockKey: TypeAlias = tuple[Material, str, str, str]
_OVERPRINTED = "overprinted"
_PIECE = "piece"


def materials(
    markers: Sequence[Marker],
    groups: Sequence[SheetPlan],
    prices: Prices | None,
    coverage: Coverage | None = None,
) -> Bill:
    """The bill of materials of an order.

    Stock is what the sheets and frames of ``groups`` take; ink is what shows of each marker's
    art with its bleed, black that overprints apart from black that does not, and neither marks
    nor slug lines count. Without ``prices`` no line has a cost. ``coverage`` is the ink coverage of
    the parts where already known.
    """
    by_id = {marker.id: marker for marker in markers}
    lines = [
        *_stock_lines(groups, by_id),
        *_laminate_lines(groups, by_id),
        *_ink_lines(markers, groups, coverage or Coverage()),
        *_fixing_lines(markers),
    ]
    order = list(Material)
    lines.sort(key=lambda line: order.index(line.material))
    by_group = tuple(group_waste(group, by_id) for group in groups)
    waste = tuple(_stock_waste(groups, by_id))
    if prices is None:
        return Bill(tuple(lines), waste, "", None, (), by_group)
    costed = tuple(price_line(line, prices) for line in lines)
    total = round(math.fsum(line.cost for line in costed if line.cost is not None), 2)
    missing = tuple(f"{line.name} ({line.lack})" for line in costed if line.cost is None)
    return Bill(costed, waste, prices.currency, total, missing, by_group)


def kind_of_film(group: SheetPlan, markers: Mapping[str, Marker]) -> str:
    """The kind of film that a group is printed on; empty for plates, tags and one kind only."""
    if group.role is not PartRole.FILM:
        return ""
    build = _build_of(group, markers)
    return film_kind(build.film, (markers[marker_of(name)] for name in group.parts))


def group_waste(group: SheetPlan, markers: Mapping[str, Marker]) -> Waste:
    """The waste of one group of sheets."""
    made = math.fsum(_finished_area(group, sheet) for sheet in group.sheets)
    return Waste(_item(group, markers), group.title, _stock_area(group), made, group.key)


def _finished_area(group: SheetPlan, sheet: Sheet) -> float:
    """Of the parts on all copies."""
    counts = Counter(placed.name for placed in sheet.placed)
    areas = (count * enclosed_area(group.parts[name].outline) for name, count in counts.items())
    return sheet.copies * math.fsum(areas)


def _stock_area(group: SheetPlan) -> float:
    return math.fsum(_sheet_area(sheet) for sheet in group.sheets)


def _sheet_area(sheet: Sheet) -> float:
    """Of all copies."""
    return sheet.copies * sheet.width * sheet.length


def _build_of(group: SheetPlan, markers: Mapping[str, Marker]) -> Build:
    """The build that all markers of a group share, as far as it decides the group's stock."""
    return markers[marker_of(next(iter(group.parts)))].plan.build


def _item(group: SheetPlan, markers: Mapping[str, Marker]) -> str:
    """The stock itself, without its laminate."""
    build = _build_of(group, markers)
    if group.stock.engraved:
        return ENGRAVING_STOCK
    match group.role:
        case PartRole.FILM:
            base = group.stock.base_text
            return f"{build.film}, {build.adhesive}{', ' + base if base else ''}"
        case PartRole.PLATE:
            return build.plate_material
        case PartRole.TAG:
            return load_practice().tag.material


def _specification(group: SheetPlan, markers: Mapping[str, Marker]) -> str:
    """What else a supplier has to know."""
    match group.role:
        case PartRole.FILM:
            kind = kind_of_film(group, markers)
            conforming = {film.conforming_kind for film in load_practice().films}
            use = "for wraps and jackets" if kind in conforming and kind else ""
            return ", ".join(text for text in (kind, use, group.stock.thickness) if text)
        case PartRole.PLATE:
            return group.stock.thickness or load_practice().plate.thickness
        case PartRole.TAG:
            return group.stock.thickness or load_practice().tag.thickness


def _stock_lines(groups: Iterable[SheetPlan], markers: Mapping[str, Marker]) -> Iterator[Line]:
    """Film, plate and tag stock by item, kind and stock: sheets or length, area, and pieces."""
    summed: dict[_StockKey, dict[Unit, float]] = {}
    told: dict[_StockKey, str] = {}
    for group in groups:
        specification = _specification(group, markers)
        for key, sheet in _sheets_by_line(group, markers):
            told[key] = specification
            amounts = summed.setdefault(key, {})
            first = (
                lengths(sheet.copies * sheet.length)
                if group.is_roll
                else ((Unit.SHEET, float(sheet.copies)),)
            )
            pieces = (Unit.PIECE, float(sheet.copies * len(sheet.placed)))
            for unit, amount in (*first, *areas(_sheet_area(sheet)), pieces):
                amounts[unit] = amounts.get(unit, 0.0) + amount
    for key, amounts in sorted(summed.items()):
        material, item, size, kind = key
        purchase = _stock_purchase(amounts)
        found = tuple(amounts.items())
        yield Line(material, item, size, found, purchase, kind, told[key])


def _sheets_by_line(
    group: SheetPlan, markers: Mapping[str, Marker]
) -> Iterator[tuple[_StockKey, Sheet]]:
    """Every sheet of a group, and what its stock's line is known by: item, stock and kind."""
    material, item = _OF_ROLE[group.role], _item(group, markers)
    kind = kind_of_film(group, markers)
    for sheet in group.sheets:
        yield (material, item, sheet.stock.title, kind), sheet


def _stock_purchase(amounts: Mapping[Unit, float]) -> Purchase:
    """Whole sheets, or whole rolls of the usual length."""
    if Unit.SHEET in amounts:
        return Purchase(amounts[Unit.SHEET], "sheet")
    roll = load_practice().purchase.roll_length
    return Purchase(rolls_of(amounts[Unit.METER] * 1000, roll), f"roll of {feet(roll)}")


def rolls_of(length: float, roll: float) -> int:
    """Whole rolls that hold a length, mm."""
    return math.ceil(length / roll - 1e-9)


def _laminate_lines(groups: Iterable[SheetPlan], markers: Mapping[str, Marker]) -> Iterator[Line]:
    """Laminate covers whole sheets and frames, edge to edge."""
    summed: dict[str, float] = defaultdict(float)
    for group in groups:
        laminate = _build_of(group, markers).laminate
        if laminate and group.role is not PartRole.PLATE and not group.stock.engraved:
            summed[laminate] += _stock_area(group)
    practice = load_practice()
    width, roll = practice.purchase.laminate_width, practice.purchase.roll_length
    for laminate, area in sorted(summed.items()):
        unit = f"roll of {inches(width)} x {feet(roll)}"
        purchase = Purchase(rolls_of(area / width, roll), unit)
        yield Line(
            Material.LAMINATE,
            laminate,
            "",
            areas(area),
            purchase,
            specification=practice.laminates.kind,
        )


def _ink_lines(
    markers: Iterable[Marker], groups: Iterable[SheetPlan], coverage: Coverage
) -> Iterator[Line]:
    """What the stocks make of the markers: no ink in the color of the film, white under others.

    Parts on no sheet count as they are drawn.
    """
    summed: dict[tuple[str, str], float] = defaultdict(float)
    for part, count in _made_parts(markers, groups):
        for key, area in _inks(part, coverage):
            summed[key] += area * count
    rate = load_practice().purchase.ink_ml_per_square_meter
    for (name, kind), area in sorted(summed.items()):
        volume = area / 1e6 * rate
        amounts = (*areas(area), (Unit.MILLILITER, volume))
        yield Line(Material.INK, name, kind, amounts, Purchase(volume, Unit.MILLILITER))


def _made_parts(
    markers: Iterable[Marker], groups: Iterable[SheetPlan]
) -> Iterator[tuple[Part, int]]:
    """Every part as its stock makes it, with its number."""
    on_sheets: set[tuple[str, PartRole]] = set()
    for group in groups:
        for name, count in parts_made(group).items():
            on_sheets.add((marker_of(name), group.role))
            yield group.parts[name], count
    for marker in markers:
        for part in marker.face.parts:
            if (marker.id, part.role) not in on_sheets:
                yield part, marker.quantity


def parts_made(group: SheetPlan) -> Counter[str]:
    """How many of each part all sheets of a group hold."""
    made: Counter[str] = Counter()
    for sheet in group.sheets:
        for placed in sheet.placed:
            made[placed.name] += sheet.copies
    return made


def _inks(part: Part, coverage: Coverage) -> Iterator[tuple[tuple[str, str], float]]:
    """Area by ink on one part, what overprints apart."""
    cover = coverage.of(part)
    for ink, area in cover.inks.items():
        above = cover.overprinted[ink]
        if ink.role is InkRole.WHITE:
            yield (ink.name, "underprint"), area
            continue
        if above:
            yield (ink.name, _OVERPRINTED), above
        if area > above + 1e-9:
            yield (ink.name, ""), area - above


def _fixing_lines(markers: Sequence[Marker]) -> Iterator[Line]:
    """Straps by length, stand-offs by height, and the hardware for hanging tags."""
    for (strap, length), count in sorted(straps_of(markers).items()):
        amounts = ((Unit.PIECE, float(count)), *lengths(count * length))
        yield Line(
            Material.STRAP,
            strap,
            f"{inches(length)} long",
            amounts,
            Purchase(count, _PIECE),
            specification=specification_of(strap),
        )
    for height, count in sorted(stand_offs_of(markers).items()):
        yield Line(
            Material.STAND_OFF,
            "",
            f"{inches(height)} high",
            ((Unit.PIECE, float(count)),),
            Purchase(count, _PIECE),
            specification=specification_of(STAND_OFF),
        )
    if tags := hung_tags(markers):
        amounts = ((Unit.PIECE, float(tags)),)
        yield Line(
            Material.TAG_WIRE,
            "",
            "length to suit valve",
            amounts,
            Purchase(tags, _PIECE),
            specification=specification_of(TAG_WIRE),
        )


def _stock_waste(groups: Iterable[SheetPlan], markers: Mapping[str, Marker]) -> Iterator[Waste]:
    """One row for each item, kind and stock, as the lines of the stock have."""
    summed: dict[_StockKey, tuple[float, float]] = {}
    for group in groups:
        for key, sheet in _sheets_by_line(group, markers):
            stock, finished = summed.get(key, (0.0, 0.0))
            summed[key] = stock + _sheet_area(sheet), finished + _finished_area(group, sheet)
    for (_, item, size, _), (stock, finished) in sorted(summed.items()):
        yield Waste(item, size, stock, finished)
