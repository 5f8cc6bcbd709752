"""Mounting practice as data: films, adhesives, plates and straps, each with its source.

Lengths are millimeters, temperatures degrees Fahrenheit.
"""

from __future__ import annotations

from layouts.schemes.rows import Faults, Row, Table
from layouts.terms.errors import InputError
from layouts.terms.values import frozen


@frozen
class Film:
    """A printed film. What it sticks to stays below ``contact_below_f`` at its peak.

    ``conforming_kind`` is what is ordered for wraps and jackets, ``flat_kind`` for the rest; both
    are empty where there is one kind only.
    """

    name: str
    service_min_f: float
    service_max_f: float
    contact_below_f: float
    source: str
    status: str
    flat_kind: str = ""
    conforming_kind: str = ""


@frozen
class Adhesive:
    """An adhesive and the coldest surface it is put on."""

    name: str
    apply_from_f: float
    source: str
    status: str


@frozen
class Laminates:
    """The overlaminate by what it must withstand."""

    outdoor: str
    washdown: str
    kind: str
    source: str
    status: str


@frozen
class PlateStock:
    """The carrier of a mounted marker: larger than the face by border and ears."""

    material: str
    thickness: str
    border: float
    ear: float
    slot_length: float
    slot_width: float
    hole: float
    source: str
    status: str


@frozen
class TagStock:
    """The material of hung tags, with its thickness as ordered, and their hole.

    ``hole_edge`` is from the tag's edge to the edge of its hole.
    """

    material: str
    thickness: str
    hole: float
    hole_edge: float
    source: str
    status: str


@frozen
class Straps:
    """Straps around the pipe; ``tail`` is what is left to pull and lock.

    The length rounds up to a multiple of ``step``. A plate longer than ``third_over`` gets one more
    strap, in its middle.
    """

    width: float
    tail: float
    step: float
    count: int
    third_over: float
    steel_below_f: float
    outdoor: str
    indoor: str
    outdoor_closure: str
    indoor_closure: str
    source: str
    status: str


@frozen
class StandOffRule:
    """The stand-off height of a plate: frost plus the clearance, and never less than ``least``."""

    clearance: float
    least: float
    frosts_below_f: float
    sweats_below_f: float
    hardware: str
    source: str
    status: str


@frozen
class Burn:
    """The surface temperature from which a burn warning is given."""

    surface_f: float
    source: str
    status: str


@frozen
class JacketRule:
    """Rules for every marker on an insulation jacket."""

    rule: str
    source: str
    status: str


@frozen
class Purchase:
    """What materials are ordered in; ``ink_ml_per_square_meter`` is of each ink at full cover."""

    roll_length: float
    laminate_width: float
    ink_ml_per_square_meter: float
    source: str
    status: str


@frozen
class Practice:
    """All of it. Films from the coolest, adhesives from the warmest."""

    films: tuple[Film, ...]
    adhesives: tuple[Adhesive, ...]
    laminates: Laminates
    plate: PlateStock
    tag: TagStock
    straps: Straps
    stand_off: StandOffRule
    burn: Burn
    jacket: JacketRule
    purchase: Purchase


def build_practice(values: Table, origin: str) -> Practice:
    """The practice that the tables describe. Raises ``InputError`` with every fault."""
    faults = Faults(origin, "mounting")
    top = Row(values, "", faults)
    top.child("sources")
    practice = Practice(
        films=tuple(_film(row) for row in top.children("films", "name")),
        adhesives=tuple(_adhesive(row) for row in top.children("adhesives", "name")),
        laminates=_laminates(top.child("laminates")),
        plate=_plate(top.child("plate")),
        tag=_tag(top.child("tag")),
        straps=_straps(top.child("straps")),
        stand_off=_stand_off(top.child("stand_off")),
        burn=_burn(top.child("burn")),
        jacket=_jacket(top.child("jacket")),
        purchase=_purchase(top.child("purchase")),
    )
    for key in ("films", "adhesives"):
        if not getattr(practice, key):
            top.fault("missing", key, f"no row of {key} is given", f"write [[{key}]]")
    top.close()
    if faults.found:
        raise InputError(faults.found)
    return practice


def _film(row: Row) -> Film:
    film = Film(
        name=row.text("name"),
        service_min_f=row.number("service_min_f"),
        service_max_f=row.number("service_max_f"),
        contact_below_f=row.number("contact_below_f"),
        source=row.source(),
        status=row.status(),
        flat_kind=row.text("flat_kind", ""),
        conforming_kind=row.text("conforming_kind", ""),
    )
    if film.contact_below_f > film.service_max_f:
        what = "the surface may get hotter than the film can take"
        row.fault("value", "contact_below_f", what, f"write at most {film.service_max_f:g}")
    row.close()
    return film


def _adhesive(row: Row) -> Adhesive:
    adhesive = Adhesive(row.text("name"), row.number("apply_from_f"), row.source(), row.status())
    row.close()
    return adhesive


def _laminates(row: Row) -> Laminates:
    laminates = Laminates(
        outdoor=row.text("outdoor"),
        washdown=row.text("washdown"),
        kind=row.text("kind"),
        source=row.source(),
        status=row.status(),
    )
    row.close()
    return laminates


def _plate(row: Row) -> PlateStock:
    plate = PlateStock(
        material=row.text("material"),
        thickness=row.text("thickness"),
        border=row.length("border"),
        ear=row.length("ear"),
        slot_length=row.length("slot_length"),
        slot_width=row.length("slot_width"),
        hole=row.length("hole"),
        source=row.source(),
        status=row.status(),
    )
    if plate.ear <= max(plate.slot_width, plate.hole):
        row.fault("value", "ear", "the ear does not hold its slot or hole", "write a larger ear")
    row.close()
    return plate


def _tag(row: Row) -> TagStock:
    tag = TagStock(
        material=row.text("material"),
        thickness=row.text("thickness"),
        hole=row.length("hole"),
        hole_edge=row.length("hole_edge"),
        source=row.source(),
        status=row.status(),
    )
    row.close()
    return tag


def _straps(row: Row) -> Straps:
    straps = Straps(
        width=row.length("width"),
        tail=row.length("tail"),
        step=row.length("step"),
        count=row.whole("count"),
        third_over=row.length("third_over"),
        steel_below_f=row.number("steel_below_f"),
        outdoor=row.text("outdoor"),
        indoor=row.text("indoor"),
        outdoor_closure=row.text("outdoor_closure"),
        indoor_closure=row.text("indoor_closure"),
        source=row.source(),
        status=row.status(),
    )
    if straps.step <= 0:
        row.fault("value", "step", "the step is zero", 'write it as "1/4 in"')
    row.close()
    return straps


def _stand_off(row: Row) -> StandOffRule:
    rule = StandOffRule(
        clearance=row.length("clearance"),
        least=row.length("least"),
        frosts_below_f=row.number("frosts_below_f"),
        sweats_below_f=row.number("sweats_below_f"),
        hardware=row.text("hardware"),
        source=row.source(),
        status=row.status(),
    )
    row.close()
    return rule


def _burn(row: Row) -> Burn:
    burn = Burn(row.number("surface_f"), row.source(), row.status())
    row.close()
    return burn


def _jacket(row: Row) -> JacketRule:
    rule = JacketRule(row.text("rule"), row.source(), row.status())
    row.close()
    return rule


def _purchase(row: Row) -> Purchase:
    purchase = Purchase(
        roll_length=row.length("roll_length"),
        laminate_width=row.length("laminate_width"),
        ink_ml_per_square_meter=row.number("ink_ml_per_square_meter"),
        source=row.source(),
        status=row.status(),
    )
    for key in ("roll_length", "laminate_width"):
        if getattr(purchase, key) <= 0:
            row.fault("value", key, "a roll of this size holds nothing", 'write it as "54 in"')
    row.close()
    return purchase
