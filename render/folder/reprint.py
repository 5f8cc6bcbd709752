"""``pipelegend reprint``: prints markers of an old job folder again, identical to the byte.

The folder's order is built again with only the markers asked for. Every face of the new print
files must be in the old ones, byte for byte (see ``render.folder.printed``). If it is not, a newer
program or another shop file wrote it differently; shapes and inks equal to the folder's record
then pass with a warning. Anything else is refused: a marker that a scheme, the lettering or the
program draws differently today, and one that cannot be proven equal.
"""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from layouts.markers.content import ProvedMarker
from layouts.markers.drawn_ids import job_digits
from layouts.markers.fingerprint import FORM, Form, fingerprint
from layouts.markers.gather import Marker, build_key
from layouts.markers.positions import Hanging, hangings, part_of
from layouts.order.order import LONGEST_TEXT, Order
from layouts.papers.kit.figure import printed_part
from layouts.sheets.stock import Shop
from layouts.terms.errors import InputError, OutputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from layouts.terms.words import PartRole, PieceId, PieceIdPer
from render.decide import decide
from render.files.atomic import JobFiles
from render.folder.approval import proof_of
from render.folder.naming import pieces_by_id
from render.folder.open import Job, open_job
from render.folder.piece_names import pieces_called
from render.folder.printed import printed_faces
from render.job import JobFolder, build
from render.options import Options
from render.shop.offcuts import offcut_of, offcut_size

OFFCUT = "offcut"
RECORD = "reprint.json"


def reprint(
    folder: Path,
    ids: Sequence[str],
    options: Options,
    stock: str | None = None,
    files: JobFiles | None = None,
) -> JobFolder:
    """A job folder with only the markers that ``ids`` names, by id, tag or line number.

    ``stock`` is the size of an offcut, ``300x600mm`` or ``12x24in``, of the stock that the old
    job printed them on; without it they go on that stock itself. The folder holds
    ``reprint.json``, a record of the repeated job and of each face. Files go into ``files``, or are
    held in memory.

    Raises:
        InputError: the old folder, an id or the offcut is wrong, or the markers do not fit it.
        OutputError: a face differs from the one printed before.
    """
    job = open_job(folder)
    order = job.order()
    markers = decide(order, options, folder.name).gathered.markers
    known = _Known.of(job, markers)
    old_ids = {marker.id: key for key, marker in known.by_id.items()}
    if order.piece_id is not PieceId.NONE and order.piece_id_per is PieceIdPer.POSITION:
        pieces = pieces_called(ids, markers)
        hung = [each.hanging for each in pieces]
        wanted = Counter(old_ids.get(each.marker.id, each.marker.id) for each in pieces)
        chosen = _choose_markers(known, wanted)
    else:
        by_printed = {text.casefold(): marker.id for text, marker in _printed_ids(markers)}
        names = [by_printed.get("".join(each.split()).casefold(), each) for each in ids]
        wanted = Counter(pieces_by_id(names, _listed_ids(job), hangings(markers), old_ids))
        chosen = _choose_markers(known, wanted)
        hung = _first_places(markers, chosen)
    again = _order(order, hung)
    if stock is not None:
        options, again = _on_offcut(stock, again, [each for each, _ in chosen], options)
    made = build(again, options, folder.name, files=files)
    _one_offcut(made)
    findings = (*made.findings, *_proven(job, made, [each for each, _ in chosen]))
    made.files.put(RECORD, _record(job, chosen))
    made.files.seal()
    return replace(made, findings=findings)


@frozen
class _Known:
    """The markers that the old order gives today, by their ids in the old folder."""

    by_id: Mapping[str, Marker]

    @staticmethod
    def of(job: Job, markers: Sequence[Marker]) -> _Known:
        """Match markers by the folder's record, or by id if the folder has no record.

        A newer program may give a design another id; a face drawn and built as recorded is still
        the same marker.
        """
        content = proof_of(job)
        if content is None:
            return _Known({marker.id: marker for marker in markers})
        by_look = {_look(marker, content.version): marker for marker in markers}
        found = {each.id: by_look.get(_recorded_look(each)) for each in content.markers}
        return _Known({key: marker for key, marker in found.items() if marker is not None})


def _look(marker: Marker, form: Form = FORM) -> tuple[str, ...]:
    return fingerprint(marker.face, form), *build_key(marker.plan.build)


def _recorded_look(each: ProvedMarker) -> tuple[str, ...]:
    return each.face, *each.build


def _choose_markers(
    known: _Known, wanted: Mapping[str, int]
) -> list[tuple[Marker, tuple[str, int]]]:
    """The requested markers, with the old id and the quantity of each."""
    faults = []
    for key in wanted.keys() - known.by_id.keys():
        what = f"{key} can no longer be made as it was: its order gives another marker today"
        right = "use the scheme, lettering and program of the old job, or order a new one"
        faults.append(_fault("reprint-differs", what, right, key))
    if faults:
        raise InputError(faults)
    return [(known.by_id[key], (key, count)) for key, count in sorted(wanted.items())]


def _listed_ids(job: Job) -> frozenset[str]:
    """The ids of the old job, from its table."""
    text = io.StringIO(job.file("markers.csv").decode(), newline="")
    return frozenset(row["id"] for row in csv.DictReader(text))


def _first_places(
    markers: Sequence[Marker], chosen: Sequence[tuple[Marker, tuple[str, int]]]
) -> list[Hanging]:
    """The chosen markers, each at its first old position."""
    first: dict[str, Hanging] = {}
    for hanging in hangings(markers):
        first.setdefault(hanging.marker.id, hanging)
    return [first[marker.id].counted(count) for marker, (_, count) in chosen]


def _printed_ids(markers: Iterable[Marker]) -> Iterator[tuple[str, Marker]]:
    """Every id printed on a piece, with its marker."""
    for marker in markers:
        for placing in marker.placings:
            yield from ((text, marker) for text in placing.ids)


def _order(order: Order, wanted: Iterable[Hanging]) -> Order:
    """The old order with only the requested markers; piece ids keep their old digits."""
    again = part_of(order, wanted)
    assert again is not None
    changes: dict[str, object] = {"title": f"Reprint: {order.title}"[:LONGEST_TEXT]}
    if order.piece_id is not PieceId.NONE:
        changes["piece_id_job"] = job_digits(order)
    return again.model_copy(update=changes)


def _on_offcut(
    text: str, order: Order, markers: Sequence[Marker], options: Options
) -> tuple[Options, Order]:
    """The order on one sheet of the offcut's size, with the original stock's other settings."""
    width, length = offcut_size(text)
    roles = {printed_part(marker.face).role for marker in markers}
    if len(roles) > 1:
        right = "reprint them one after the other, each on its own offcut"
        raise InputError([_fault("offcut-roles", "film and tags cannot share an offcut", right)])
    (role,) = roles
    field = "film" if role is PartRole.FILM else "tag"
    wholes = options.shop.named(getattr(order.stocks, field))
    if not wholes:
        return options, order  # the job says which stock is unknown
    offcut = offcut_of(wholes[0], OFFCUT, width, length)
    shop = Shop({**options.shop.stocks, OFFCUT: offcut}, options.shop.printer)
    stocks = order.stocks.model_copy(update={field: OFFCUT})
    return replace(options, shop=shop), order.model_copy(update={"stocks": stocks})


def _one_offcut(made: JobFolder) -> None:
    """Check that one offcut is enough; several would have to be named as a stock."""
    for group in made.groups:
        if group.stock.key == OFFCUT and group.copies > 1:
            pieces = sum(group.quantities.values())
            what = f"{pieces} pieces take {group.copies} sheets of the {group.stock.title}"
            raise InputError([_fault("offcut-size", what, "give a larger one, or fewer pieces")])


def _proven(job: Job, made: JobFolder, chosen: Iterable[Marker]) -> tuple[Finding, ...]:
    """No finding if every face is in the old print files; a warning if only shapes prove it."""
    names = job.names("print/", ".pdf")
    old = {digest for name in names for digest in printed_faces(job.file(name))}
    other = [
        name
        for name in sorted(made.files)
        if name.startswith("print/") and not printed_faces(made.files[name]).keys() <= old
    ]
    same = {_look(each) for each in made.markers} == {_look(each) for each in chosen}
    if same and not other:
        return ()
    what = (
        f"{', '.join(other) or 'a part'}: a face is not in the bytes that {job.folder.name} printed"
    )
    right = "give the shop file, the profile and the stock of the old job"
    if not same or proof_of(job) is None:
        raise OutputError(f"{what}; {right}, or order the marker again")
    what += "; its shapes and inks are as recorded, and the file is written otherwise"
    return (Finding("reprint-rewritten", Severity.WARNING, what, f"{right}, or look at a print"),)


def _record(job: Job, chosen: Iterable[tuple[Marker, tuple[str, int]]]) -> bytes:
    content = proof_of(job)
    form = FORM if content is None else content.version
    table = {
        "version": 1,
        "of": job.seal,
        "markers": [
            {
                "id": key,
                "now": marker.id,
                "words": marker.face.words,
                "face": fingerprint(marker.face, form),
                "quantity": count,
            }
            for marker, (key, count) in chosen
        ],
    }
    return json.dumps(table, indent=1, sort_keys=True, ensure_ascii=False).encode() + b"\n"


def _fault(code: str, what: str, right: str, marker: str = "") -> Finding:
    return Finding(code, Severity.UNREADABLE, what, right, place=Place(marker=marker))
