"""``pipelegend rounds``: the work due by a date, the order for it, and its cost by year."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from layouts.markers.piece_ids import PlacedPiece
from layouts.markers.positions import part_of
from layouts.order.normal import normalize, order_json
from layouts.order.order import LONGEST_TEXT, Item, Order
from layouts.papers.keeping.replacement_chart import YearRow, replacement_chart
from layouts.papers.keeping.round_page import round_page
from layouts.papers.materials import Prices, materials
from layouts.register.due import Due, Round, by_year, due_until, replacement
from layouts.register.model import Register
from layouts.sheets.groups import lay_out
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from layouts.terms.values import frozen
from render.decide import decide
from render.files.atomic import manifest
from render.options import Options, printed_date
from render.read import read
from render.read.fonts import typefaces as load_typefaces
from render.register.register_folder import Stored
from render.survey.survey_files import plan_pieces
from render.write import pdf
from render.write.tables import csv_file

ROUND_COLUMNS = (
    *("what", "id", "area", "line_or_tag", "position", "marker", "why", "since", "year"),
)
YEAR_COLUMNS = ("year", "pieces", "materials")


@frozen
class Planning:
    """The pieces of a register by their ids, as its orders make them, and their orders."""

    pieces: Mapping[str, PlacedPiece]
    orders: Mapping[str, Order]
    schemes: Mapping[str, bytes]

    def order(self, ids: Iterable[str], jobs: Mapping[str, str], title: str) -> Order | None:
        """An order for some pieces; None for none. ``jobs`` gives the order of each piece.

        A head holds for the whole order, so a marker of another order names its scheme itself.
        """
        wanted: dict[str, list[PlacedPiece]] = {}
        for piece in ids:
            if piece in self.pieces:
                wanted.setdefault(jobs[piece], []).append(self.pieces[piece])
        parts = {
            job: part_of(self.orders[job], (each.hanging for each in pieces))
            for job, pieces in sorted(wanted.items())
        }
        made = [part for part in parts.values() if part is not None]
        if not made:
            return None
        head = made[-1]
        items = [item for part in made for item in _under(head, part)]
        accepted = tuple(dict.fromkeys(each for part in made for each in part.accept))
        update = {
            "items": tuple(items),
            "title": title[:LONGEST_TEXT],
            "accept": accepted,
            "colors": {key: each for part in made for key, each in part.colors.items()},
            "cutoffs": {key: each for part in made for key, each in part.cutoffs.items()},
        }
        return normalize(head.model_copy(update=update))


def _under(head: Order, part: Order) -> Iterable[Item]:
    for item in part.items:
        if item.spec.scheme or part.scheme == head.scheme:
            yield item
        else:
            yield replace(item, spec=item.spec.model_copy(update={"scheme": part.scheme}))


@frozen
class RoundMade:
    """A round with its files; ``order`` replaces what is due, None if nothing is."""

    due: Round
    order: Order | None
    years: tuple[YearRow, ...]
    files: Mapping[str, bytes]
    findings: tuple[Finding, ...]


def make_round(stored: Stored, until: str, options: Options, plant: str = "") -> RoundMade:
    """The work due in a register by a date (YYYY-MM-DD), as the files of a folder.

    Raises:
        InputError: an order of the register can no longer be planned.
    """
    register = stored.register
    with TemporaryDirectory() as scratch:
        options = replace(options, folder=Path(scratch))
        planning = plan_register(stored, options)
        due = due_until(register, until)
        jobs = {entry.id: entry.job for entry in register.entries}
        ids = [each.entry.id for each in due.replace]
        order = planning.order(ids, jobs, f"Replacements until {until}")
        years = tuple(_years(register, until, planning, jobs, options))
        plant = plant or next((each.plant for each in planning.orders.values() if each.plant), "")
        files = _files(stored, due, order, years, plant, options)
        files |= planning.schemes
    files["manifest.json"] = manifest(files)
    return RoundMade(due, order, years, files, tuple(_unmade(due, planning)))


def plan_register(stored: Stored, options: Options) -> Planning:
    """Every piece of the register by its own order; ``options.folder`` takes the orders' files.

    Raises:
        InputError: an order can no longer be read or planned.
    """
    jobs = {entry.id: entry.job for entry in stored.register.entries}
    pieces: dict[str, PlacedPiece] = {}
    orders: dict[str, Order] = {}
    schemes: dict[str, bytes] = {}
    for number, files in sorted(stored.orders().items()):
        if number not in jobs.values():
            continue
        for name, data in files.items():
            (options.folder / name).write_bytes(data)
            if name.endswith(".toml"):
                schemes[name] = data
        reading = read(options.folder / "order.json")
        if reading.order is None:
            raise InputError(reading.findings)
        planned = plan_pieces(reading.order, options, number)
        orders[number] = planned.order
        pieces |= {each.id: each for each in planned.pieces if jobs.get(each.id) == number}
    return Planning(pieces, orders, schemes)


def _unmade(due: Round, planning: Planning) -> Iterable[Finding]:
    """Pieces that are due and that no order of the register makes."""
    lost = [each.entry.id for each in due.replace if each.entry.id not in planning.pieces]
    if lost:
        what = f"{', '.join(lost[:6])}: due for replacement, and no order of the register makes "
        what += "it" if len(lost) == 1 else f"these {len(lost)}"
        yield Finding("round-unknown", Severity.WARNING, what, "order it from the line list")


def _years(
    register: Register,
    until: str,
    planning: Planning,
    jobs: Mapping[str, str],
    options: Options,
) -> Iterable[YearRow]:
    dues = [each for each in map(replacement, register.entries) if each.since]
    for year, pieces in by_year(register).items():
        asked = year <= until[:4]
        ids = [each.entry.id for each in dues if each.year == year]
        order = planning.order(ids, jobs, f"Replacements in {year}")
        prices = options.prices
        cost = _cost(order, prices, options) if order is not None and prices is not None else ""
        yield YearRow(year, pieces, cost, asked)


def _cost(order: Order, prices: Prices, options: Options) -> str:
    markers = decide(order, options).gathered.markers
    groups, unplaced = lay_out(markers, order, options.shop)
    if unplaced:
        raise InputError(unplaced)
    return materials(markers, groups, prices=prices).total_text


def _files(
    stored: Stored,
    due: Round,
    order: Order | None,
    years: Sequence[YearRow],
    plant: str,
    options: Options,
) -> dict[str, bytes]:
    typefaces, day = load_typefaces(options.font), printed_date(None)
    dues = map(replacement, stored.register.entries)
    unknown = sum(not each.since for each in dues)
    chart = replacement_chart(years, unknown, stored.lifetimes, plant, typefaces, day)
    files = {
        "round.pdf": pdf.write(round_page(due, plant, typefaces, day)),
        "replacements.pdf": pdf.write(chart),
        "round.csv": csv_file((ROUND_COLUMNS, *_rows(due))),
        "replacements.csv": csv_file(
            (YEAR_COLUMNS, *((row.year, row.pieces, row.cost) for row in years))
        ),
    }
    if order is not None:
        files["order.json"] = order_json(order)
    return files


def _rows(due: Round) -> Iterable[Sequence[str]]:
    yield from (_row("replace", each) for each in due.replace)
    yield from (_row("inspect", each) for each in due.inspect)


def _row(what: str, due: Due) -> Sequence[str]:
    entry = due.entry
    place = (entry.id, entry.area, entry.line_or_tag, entry.position, entry.marker)
    return (what, *place, due.why, due.since, due.year)


def round_lines(made: RoundMade) -> list[str]:
    """A round for people."""
    lines = [f"{len(made.due.inspect)} to inspect, {len(made.due.replace)} to replace"]
    for row in made.years:
        if row.pieces:
            cost = f": {row.cost}" if row.cost else ""
            lines.append(f"  {row.year}  {row.pieces} to replace{cost}")
    return lines


def round_json(made: RoundMade) -> str:
    """A round for programs."""
    table = {
        "inspect": len(made.due.inspect),
        "replace": len(made.due.replace),
        "ordered": 0 if made.order is None else made.order.quantity,
        "years": {row.year: {"pieces": row.pieces, "materials": row.cost} for row in made.years},
    }
    return json.dumps(table, indent=1, ensure_ascii=False)
