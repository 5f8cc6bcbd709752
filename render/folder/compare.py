"""``pipelegend diff``: two revisions of a list, the order for the difference, a change sheet."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from layouts.markers.content import Content
from layouts.markers.fingerprint import fingerprint
from layouts.markers.gather import Marker, build_key
from layouts.markers.piece_ids import placed_pieces
from layouts.markers.positions import hangings, part_of
from layouts.markers.revision import Action, Change, match
from layouts.order.normal import normalize, order_json
from layouts.order.order import LONGEST_TEXT, Order
from layouts.papers.changes import change_sheet, place_text, thing_text, why
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.decide import Decided, decide
from render.files.atomic import manifest
from render.folder.approval import proof_of
from render.folder.open import open_job, read_order
from render.options import Options, printed_date
from render.write import pdf
from render.write.tables import csv_file

CHANGE_COLUMNS = (
    *("action", "pieces", "area", "line_or_tag", "location", "from", "to", "row"),
    *("old_id", "old_legend", "new_id", "new_legend", "why"),
)


@frozen
class Revision:
    """The change for every marker; ``order`` makes the new ones, None if there are none.

    ``old`` and ``new`` are the lists, ``judged`` the plan of the new one.
    """

    old: Order
    new: Order
    judged: Decided
    changes: tuple[Change, ...]
    order: Order | None
    findings: tuple[Finding, ...] = ()

    def count(self, action: Action) -> int:
        """The number of pieces with an action."""
        return sum(change.count for change in self.changes if change.action is action)


def compare(old: Path, new: Path, options: Options, mapping: Path | None = None) -> Revision:
    """Compare two lists, order files or job folders, with their scheme files beside them.

    ``mapping`` says how the plant writes its lists, both old and new.

    Raises:
        InputError: one of them cannot be read, or one of its markers cannot be made.
    """
    hung = proof_of(open_job(old)) if old.is_dir() else None
    beside = [path if path.is_dir() else path.parent for path in (old, new)]
    sides = [replace(options, folder=folder) for folder in beside]
    orders = read_order(old, mapping), read_order(new, mapping)
    return diff(*orders, sides[1], (old.name, new.name), old_options=sides[0], hung=hung)


def diff(
    old: Order,
    new: Order,
    options: Options,
    names: tuple[str, str] = ("", ""),
    *,
    old_options: Options | None = None,
    hung: Content | None = None,
) -> Revision:
    """Compare two revisions by the markers at each place; ``names`` are those of their files.

    Both are planned with the current schemes and lettering, so any difference comes from the
    lists. ``hung`` is the record of the old proof, if there is one; it shows markers that would be
    drawn differently today.

    Raises:
        InputError: a marker of either list cannot be made; the error holds every finding.
    """
    old, new = normalize(old), normalize(new)
    judged_old = decide(old, old_options or options, names[0])
    judged_new = decide(new, options, names[1])
    impossible = [
        finding
        for each in (judged_old, judged_new)
        for finding in each.gathered.findings
        if finding.severity is Severity.UNREADABLE
    ]
    if impossible:
        raise InputError(impossible)
    before, after = judged_old.gathered.markers, judged_new.gathered.markers
    changes = match(hangings(before), hangings(after))
    findings = tuple(_drift_findings(hung, before, names[0])) if hung else ()
    since = f", changes since {old.revision}" if old.revision else ", changes"
    wanted = order_for(new, name_pieces(changes, after), since)
    return Revision(old, new, judged_new, changes, wanted, findings)


def _drift_findings(hung: Content, today: Iterable[Marker], name: str) -> Iterator[Finding]:
    """Installed markers that would be drawn differently today than they were recorded."""
    looks = {(fingerprint(each.face, hung.version), *build_key(each.plan.build)) for each in today}
    other = [each.words for each in hung.markers if (each.face, *each.build) not in looks]
    if other:
        yield Finding(
            "job-drifted",
            Severity.WARNING,
            f"{', '.join(dict.fromkeys(other))}: drawn otherwise today than the old job made it",
            "what hangs is on the old proof; the comparison takes today's drawing for it",
            place=Place(name),
        )


def name_pieces(changes: Iterable[Change], markers: Iterable[Marker]) -> Iterator[Change]:
    """The changes with the ids of their pieces.

    If a place gets more of the same marker, the installed ones keep their ids.
    """
    ids: dict[int, list[str]] = defaultdict(list)
    for piece in placed_pieces(markers):
        ids[id(piece.placing)].append(piece.id)
    for change in sorted(changes, key=lambda each: _NAMED.index(each.action)):
        if change.new is None:
            continue
        left = ids[id(change.new.placing)]
        own, left[:] = left[: change.count], left[change.count :]
        yield replace(change, new=replace(change.new, pieces=tuple(own)))


_NAMED = (Action.UNCHANGED, Action.REPLACE, Action.ADD, Action.REMOVE)


def order_for(new: Order, changes: Iterable[Change], since: str) -> Order | None:
    """The order that makes only what the changes ask for; None if that is nothing.

    ``new`` is the new list, and ``since`` is added to its title.
    """
    made = (Action.ADD, Action.REPLACE)
    wanted = (
        change.new.counted(change.count)
        for change in changes
        if change.action in made and change.new is not None
    )
    order = part_of(new, wanted)
    if order is None:
        return None
    title = new.title[: LONGEST_TEXT - len(since)] + since
    return normalize(order.model_copy(update={"title": title[:LONGEST_TEXT]}))


def revision_files(revision: Revision) -> Mapping[str, bytes]:
    """The folder of a comparison: change sheet, table, and the order for the difference."""
    document = change_sheet(
        revision.old,
        revision.new,
        revision.changes,
        revision.judged.typefaces,
        printed_date(revision.new.date),
    )
    files = {"changes.pdf": pdf.write(document), "changes.csv": changes_csv(revision.changes)}
    if revision.order is not None:
        files["order.json"] = order_json(revision.order)
    files["manifest.json"] = manifest(files)
    return files


def changes_csv(changes: Sequence[Change]) -> bytes:
    """One row per change, including unchanged markers."""
    return csv_file((CHANGE_COLUMNS, *map(_change_row, changes)))


def _change_row(change: Change) -> Sequence[object]:
    position = change.at.placing.position
    sides = (
        cell
        for side in (change.old, change.new)
        for cell in ((side.marker.id, side.marker.face.words) if side else ("", ""))
    )
    return (
        str(change.action),
        change.count,
        position.area,
        thing_text(change.at),
        position.location,
        position.from_,
        position.to,
        position.row or "",
        *sides,
        why(change),
    )


def revision_lines(revision: Revision) -> list[str]:
    """A comparison for people: each change, then the counts."""
    lines = [_line(change) for change in revision.changes if change.action is not Action.UNCHANGED]
    return [*lines, _tally(revision)]


def revision_json(revision: Revision) -> str:
    """A comparison as data for programs."""
    changes = [
        {
            "action": str(change.action),
            "pieces": change.count,
            "thing": thing_text(change.at),
            "place": place_text(change.at.placing.position),
            "old": change.old.marker.id if change.old else None,
            "new": change.new.marker.id if change.new else None,
            "why": why(change),
        }
        for change in revision.changes
    ]
    counts = {str(action): revision.count(action) for action in Action}
    return json.dumps({"counts": counts, "changes": changes}, indent=1, ensure_ascii=False)


def _line(change: Change) -> str:
    shown = " -> ".join(side.marker.face.words for side in (change.old, change.new) if side)
    place = place_text(change.at.placing.position)
    reason = f" ({why(change)})" if why(change) else ""
    return f"{change.action} {change.count}: {place}: {shown}{reason}"


def _tally(revision: Revision) -> str:
    counts = Counter({action: revision.count(action) for action in Action})
    return ", ".join(f"{counts[action]} {_DONE[action]}" for action in Action)


_DONE = {
    Action.REPLACE: "to replace",
    Action.ADD: "to add",
    Action.REMOVE: "to remove",
    Action.UNCHANGED: "unchanged",
}
