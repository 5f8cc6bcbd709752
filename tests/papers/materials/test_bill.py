"""The bill of materials against sums by hand, and its ink against a picture made here."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from layouts.drawing import (
    Contour,
    Cubic,
    Line,
    Path,
    Point,
    Rect,
    arc_to_cubics,
    circle,
    cubic_at,
    rectangle,
)
from layouts.drawing.document import Fill
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face.model import Part
from layouts.markers.gather import Marker
from layouts.order.order import Order
from layouts.papers.materials import Bill, Material, Unit, build_prices, materials
from layouts.papers.materials.bill_paper import bill_table, three_figures
from layouts.papers.materials.model import Purchase
from layouts.schemes.loader import load_scheme
from layouts.terms.errors import InputError
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.write.tables import csv_file
from tests.helpers.gathering import gather
from tests.papers.materials.conftest import PIPE, Work

IN = 25.4
FT = 304.8
ORANGE = Ink("orange", Lab(61.73, 38.19, 81.82))
BLACK = Ink("black", Lab(15.3, 0, 0), InkRole.BLACK)
PAPER = Ink("paper", Lab(90, 0, 0), InkRole.PAPER)


def amount(bill: Bill, material: Material, unit: Unit, size: str = "", item: str = "") -> float:
    """Of all lines that fit: film on plates and film on jackets are of two kinds."""
    found = [
        line.amount(unit)
        for line in bill.lines
        if line.material is material and size in line.size and item in line.item
    ]
    assert found
    return sum(each for each in found if each is not None)


def inked(marker: Marker, *art: Fill, quantity: int = 1) -> Marker:
    """The marker with nothing but this art, on a film of 100 x 50 mm."""
    trim = Rect(0, 0, 100, 50)
    part = Part(PartRole.FILM, trim.size, rectangle(trim), None, art, 2.0)
    return replace(marker, face=replace(marker.face, parts=(part,)), quantity=quantity)


def test_ink_of_rectangles_and_circles(work: Work) -> None:
    # A field with a bleed of 2 mm all round: 104 x 54 = 5616. A knocked out disc of 20 mm takes
    # pi 100 off; black on top overprints and takes nothing: 10 x 10; black that does not, 5 x 4,
    # takes its own. Seven of them.
    marker = inked(
        work.of("HTRS"),
        Fill(rectangle(Rect(-2, -2, 104, 54)), ORANGE),
        Fill(circle(Point(70, 25), 20), PAPER),
        Fill(rectangle(Rect(10, 10, 10, 10)), BLACK, overprint=True),
        Fill(rectangle(Rect(30, 10, 5, 4)), BLACK),
        quantity=7,
    )
    bill = materials([marker], (), None)
    mm2 = {
        (line.item, line.size): line.amounts[1][1] * 1e6
        for line in bill.lines
        if line.material is Material.INK
    }
    assert mm2 == pytest.approx(
        {
            ("orange", ""): 7 * (5616 - math.pi * 100 - 20),
            ("black", "overprinted"): 7 * 100,
            ("black", ""): 7 * 20,
        },
        rel=2e-4,  # curves are flattened to 0.02 mm
    )


def chords(contour: Contour) -> list[Point]:
    points, at = [contour.start], contour.start
    for segment in contour.segments:
        if isinstance(segment, Line):
            points.append(segment.end)
        else:
            cubics = [segment] if isinstance(segment, Cubic) else arc_to_cubics(at, segment)
            for cubic in cubics:
                points += [cubic_at(points[-1], cubic, step / 16) for step in range(1, 16)]
                points.append(cubic.end)
                # the next cubic starts where this one ends
        at = segment.end
    return points


def edges(path: Path) -> Iterator[tuple[float, float, float, float]]:
    for contour in path.contours:
        start, points = contour.start, []
        at = start
        for segment in contour.segments:
            points += chords(Contour(at, (segment,), closed=False))
            at = segment.end
        for one, two in zip(points, [*points[1:], start], strict=True):
            yield one.x, one.y, two.x, two.y


def painted(path: Path, box: Rect, pitch: float) -> npt.NDArray[np.bool_]:
    """Which sample points of a grid lie inside, by winding number, row by row."""
    x0, y0, x1, y1 = np.array(list(edges(path))).T
    xs = box.x + pitch * (np.arange(round(box.width / pitch)) + 0.5)
    rows = []
    for row in range(round(box.height / pitch)):
        y = box.y + pitch * (row + 0.5)
        crossing = (y0 <= y) != (y1 <= y)
        slope = (y - y0[crossing]) / (y1[crossing] - y0[crossing])
        at = x0[crossing] + slope * (x1[crossing] - x0[crossing])
        turn = np.where(y1[crossing] > y0[crossing], 1, -1)
        order = np.argsort(at)
        winding = np.concatenate([[0], np.cumsum(turn[order])])
        rows.append(winding[np.searchsorted(at[order], xs)] != 0)
    return np.array(rows)


def pictured(part: Part, pitch: float) -> dict[tuple[str, str], float]:
    """Area of each ink by painting the part shape by shape on a grid of sample points."""
    box = Rect(0, 0, part.size.width, part.size.height).grown(part.bleed)
    names = [""]
    ground = np.zeros((round(box.height / pitch), round(box.width / pitch)), dtype=np.uint8)
    over: dict[str, npt.NDArray[np.bool_]] = {}
    for fill in part.art:
        assert isinstance(fill, Fill)
        assert fill.ink is not None
        inside = painted(fill.path, box, pitch)
        if fill.overprint:
            over[fill.ink.name] = over.get(fill.ink.name, inside) | inside
        else:
            name = "" if fill.ink.role is InkRole.PAPER else fill.ink.name
            names += [] if name in names else [name]
            ground[inside] = names.index(name)
    areas = {(name, ""): (ground == index).sum() for index, name in enumerate(names) if name}
    areas |= {(name, "overprinted"): mask.sum() for name, mask in over.items()}
    return {key: float(count) * pitch**2 for key, count in areas.items()}


STOCK_ENDS = ("roll", "in plate", "rigid plastic")
FACES: dict[str, dict[str, object]] = {
    "bands": PIPE | {"service": "LTRS", "pipe": "NPS 2", "covering": 0},
    "keyline": PIPE | {"service": "HTRS", "od": "1 in", "paint": "orange"},
    "wrap": PIPE | {"service": "ES", "od": "1 in", "wrap": True},
    "white on green": PIPE
    | {"scheme": "asme-a13-1", "contents": "water", "pipe": "NPS 1", "covering": 0},
    "equipment": {"kind": "equipment", "name": "Surge drum", "tag": "SD-4", "pressure": "20 psig"}
    | {"small": True, "viewing_distance": "10 ft"},
    "emergency tag": {"kind": "valve", "tag": "HV-8", "emergency": True},
    "round tag": {"kind": "valve", "tag": "HV-9", "shape": "round"},
}


@pytest.mark.parametrize("name", list(FACES))
def test_ink_of_real_faces_is_that_of_their_picture(name: str) -> None:
    order = Order.model_validate({"items": [{"spec": FACES[name], "positions": [{}]}]})
    schemes = {key: load_scheme(key) for key in (order.scheme, "asme-a13-1")}
    gathered = gather(order.items, schemes, order.scheme, default_typefaces(), (), "")
    (marker,) = gathered.markers
    (part,) = (part for part in marker.face.parts if part.art)
    bill = materials([marker], (), None)
    found = {
        (line.item, line.size): line.amounts[1][1] * 1e6
        for line in bill.lines
        if line.material is Material.INK
    }
    pitch = 0.1 if part.size.width > 200 else 0.04
    seen = pictured(part, pitch)
    # An upright edge may lie anywhere between two sample points: half a pitch all round.
    slack = pitch * (part.size.width + part.size.height)
    assert found == pytest.approx(seen, abs=slack)


def test_film_by_the_length_of_the_roll(work: Work) -> None:
    # 54 in wide; each frame is a face high with 1/2 in margin and 3 mm border on both sides.
    bill = materials(work.markers, work.groups, None)
    lengths = [
        sum(
            marker.quantity * (marker.face.measures.height + 2 * (IN / 2 + 3))
            for marker in work.markers
            if marker.plan.kind == "pipe" and marker.plan.name in names
        )
        for names in (("HTRS", "LTRS"), ("LTRS",))
    ]
    assert amount(bill, Material.FILM, Unit.METER) == pytest.approx(lengths[0] / 1000)
    assert amount(bill, Material.FILM, Unit.FOOT) == pytest.approx(lengths[0] / FT)
    square_feet = lengths[0] * 54 * IN / FT**2
    assert amount(bill, Material.FILM, Unit.SQUARE_FOOT) == pytest.approx(square_feet)
    # the laminate, on what goes outdoors alone, as wide as the film under it
    square_meters = lengths[1] * 54 * IN / 1e6
    assert amount(bill, Material.LAMINATE, Unit.SQUARE_METER) == pytest.approx(square_meters)
    assert not any(
        unit is Unit.SHEET for line in bill.lines for unit, _ in line.amounts if "roll" in line.size
    )


def test_film_of_one_kind_is_one_line_whatever_its_laminate(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    names = [line.name for line in bill.lines]
    assert len(names) == len(set(names))


def test_materials_are_ordered_in_whole_rolls_sheets_and_pieces(work: Work) -> None:
    """Film in rolls of 150 ft (50 yd, common practice), cast where it goes on a jacket."""
    bill = materials(work.markers, work.groups, None)
    films = {line.kind: line for line in bill.lines if line.material is Material.FILM}
    assert films.keys() == {"cast", "calendered"}
    for line in films.values():
        meters = line.amount(Unit.METER) or 0.0
        rolls = math.ceil(meters / (150 * FT / 1000))
        assert line.purchase == Purchase(rolls, "roll of 150 ft")
    rows = list(csv.DictReader(io.StringIO(csv_file(bill_table(bill)).decode())))
    assert all(len(re.findall(r"\d[\d.]*", row["quantity"])) == 1 for row in rows)
    by_material = {row["material"]: row for row in rows}
    assert (by_material["plate"]["quantity"], by_material["plate"]["unit"]) == ("7", "sheet")
    assert by_material["plate"]["specification"] == "0.063 in"
    assert by_material["tag stock"]["specification"] == "0.040 in"
    assert by_material["ink"]["unit"] == "ml"
    straps = {row["size"]: row["quantity"] for row in rows if row["material"] == "strap"}
    assert straps == {"24 in long": "10", "20-1/2 in long": "4"}


@pytest.mark.parametrize(
    ("value", "text"),
    [(171.8, "172"), (9.289, "9.29"), (1.243, "1.24"), (0.1155, "0.116"), (1239.6, "1240")],
)
def test_measures_have_three_figures(value: float, text: str) -> None:
    assert three_figures(value) == text


def test_waste_of_the_groups_adds_up_to_that_of_the_stocks(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    assert [each.group for each in bill.group_waste] == [group.key for group in work.groups]
    assert sum(each.area for each in bill.group_waste) == pytest.approx(
        sum(each.area for each in bill.waste)
    )


def test_plates_and_tags_by_the_sheet(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    # 7 plates, one on each 48 x 96 in sheet: 7 x 32 ft2; 2 tags, one on each 24 x 48 in: 8 ft2
    assert amount(bill, Material.PLATE, Unit.SHEET) == 7
    assert amount(bill, Material.PLATE, Unit.PIECE) == 7
    assert amount(bill, Material.PLATE, Unit.SQUARE_FOOT) == pytest.approx(224)
    assert amount(bill, Material.TAG, Unit.SHEET) == 2
    assert amount(bill, Material.TAG, Unit.SQUARE_FOOT) == pytest.approx(16)
    assert amount(bill, Material.TAG_WIRE, Unit.PIECE) == 2


def test_straps_and_stand_offs(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    # NPS 6 is 6.625 in: 20.81 in round and a tail of 3 in, up to a quarter: 24 in; 2 each on 5.
    # NPS 5 is 5.563 in: 17.48 + 3 = 20.48, so 20-1/2 in; 2 each on 2. (ASME B36.10M)
    assert amount(bill, Material.STRAP, Unit.PIECE, "24 in long") == 10
    assert amount(bill, Material.STRAP, Unit.FOOT, "24 in long") == pytest.approx(20)
    assert amount(bill, Material.STRAP, Unit.PIECE, "20-1/2 in long") == 4
    # Over 1 in of frost by 1/2 in; a plate has a hole at each corner, so four a marker, on 7.
    assert amount(bill, Material.STAND_OFF, Unit.PIECE, "1-1/2 in high") == 28


def test_waste_is_what_is_not_marker(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    stocks = [(line.item, line.size) for line in bill.lines if line.size.endswith(STOCK_ENDS)]
    assert [(waste.item, waste.size) for waste in bill.waste] == stocks
    (plates,) = (waste for waste in bill.waste if "plate" in waste.size)
    marker = work.of("LTRS")
    (plate,) = (part for part in marker.face.parts if part.role is PartRole.PLATE)
    sheet = 48 * 96 * IN**2
    # a rectangle with corners of a third of the ear's inch
    radius = IN / 3
    one = plate.size.area - (4 - math.pi) * radius**2
    assert plates.stock == pytest.approx(7 * sheet)
    assert plates.finished == pytest.approx(7 * one)
    assert plates.percent == pytest.approx(100 * (1 - one / sheet))
    assert plates.area == pytest.approx(7 * (sheet - one))


def test_nothing_is_lost_between_markers_and_bill(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    pieces = {
        material: sum(
            line.amount(Unit.PIECE) or 0 for line in bill.lines if line.material is material
        )
        for material in (Material.FILM, Material.PLATE, Material.TAG)
    }
    roles = {Material.FILM: "film", Material.PLATE: "plate", Material.TAG: "tag"}
    for material, count in pieces.items():
        assert count == sum(
            marker.quantity
            for marker in work.markers
            for part in marker.face.parts
            if part.role == roles[material]
        )
    assert pieces[Material.FILM] == 2 * 7 + 5 + 2
    materials_in_order = [list(Material).index(line.material) for line in bill.lines]
    assert materials_in_order == sorted(materials_in_order)


PRICES = {
    "currency": "USD",
    "prices": [
        {"material": "plate", "unit": "sheet", "price": 85.5},
        {"material": "strap", "unit": "ft", "price": 1.25},
        {"material": "strap", "item": "Stainless steel strap", "unit": "each", "price": 3},
        {"material": "ink", "unit": "ft2", "price": 0.3},
        {"material": "laminate", "unit": "sheet", "price": 9},
    ],
}


def test_costs(work: Work) -> None:
    bill = materials(work.markers, work.groups, build_prices(PRICES, "prices.toml"))
    costs = {line.name: line.cost for line in bill.lines}
    # 7 sheets at 85.50; steel straps by the piece, as the item's own price goes first
    assert costs["plate, aluminum plate, 48 x 96 in plate"] == 598.5
    assert costs["strap, stainless steel strap, 24 in long"] == 30
    assert costs["strap, stainless steel strap, 20-1/2 in long"] == 12
    ink = [line for line in bill.lines if line.material is Material.INK]
    for line in ink:
        assert line.cost == round((line.amount(Unit.SQUARE_FOOT) or 0) * 0.3, 2)
    assert bill.total == pytest.approx(598.5 + 42 + sum(line.cost or 0 for line in ink))
    assert bill.total_text.startswith(f"USD {bill.total:,.2f}, without ")
    # film, tags and their wire, stand-offs have no price; laminate is not counted in sheets
    lacking = "\n".join(bill.missing)
    for name in ("film, vinyl film", "tag stock", "chain or wire", "stand-off, 1-1/2 in high"):
        assert name in lacking
    assert "the price is per sheet, and it is counted in ft2, m2" in lacking
    assert "plate" not in lacking.replace("48 x 96 in plate", "")
    assert len(bill.missing) == sum(line.cost is None for line in bill.lines)


def test_without_prices_there_is_no_cost(work: Work) -> None:
    bill = materials(work.markers, work.groups, None)
    assert (bill.total, bill.total_text, bill.missing) == (None, "", ())
    assert all(line.cost is None for line in bill.lines)


def test_every_line_priced_leaves_nothing_missing(work: Work) -> None:
    each = {
        Material.FILM: "m",
        Material.LAMINATE: "m2",
        Material.INK: "m2",
        Material.PLATE: "each",
        Material.TAG: "sheet",
        Material.STRAP: "m",
        Material.STAND_OFF: "each",
        Material.TAG_WIRE: "each",
    }
    rows = [{"material": key, "unit": unit, "price": 2} for key, unit in each.items()]
    bill = materials(
        work.markers, work.groups, build_prices({"currency": "EUR", "prices": rows}, "")
    )
    assert bill.missing == ()
    assert bill.total == pytest.approx(sum(line.cost or 0 for line in bill.lines))
    assert bill.total_text == f"EUR {bill.total:,.2f}"


@pytest.mark.parametrize(
    ("row", "fields"),
    [
        ({"material": "gold", "unit": "each", "price": 1}, ["prices[1].material"]),
        ({"material": "ink", "unit": "gallon", "price": 1}, ["prices[1].unit"]),
        ({"material": "ink", "unit": "ft2", "price": -1}, ["prices[1].price"]),
        ({"material": "ink", "unit": "ft2", "price": "1"}, ["prices[1].price"]),
        ({"material": "ink", "unit": "ft2", "price": 1, "vat": 2}, ["prices[1].vat"]),
        ({"price": 1}, ["prices[1].material", "prices[1].unit"]),
    ],
)
def test_faults_of_a_price_list(row: dict[str, object], fields: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        build_prices({"currency": "USD", "prices": [row]}, "prices.toml")
    assert [finding.place.field for finding in caught.value.findings] == fields


def test_a_price_given_twice_and_none_at_all() -> None:
    ink = {"material": "ink", "unit": "ft2", "price": 1}
    with pytest.raises(InputError, match="ink has two prices"):
        build_prices({"currency": "USD", "prices": [ink, ink]}, "")
    with pytest.raises(InputError, match="no price is given"):
        build_prices({"currency": "USD"}, "")
