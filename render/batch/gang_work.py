"""A gang: orders of a batch nested together on shared sheets, as one piece of work.

Each order keeps its own folder with proof, packs, chart and schedule. The gang's folder holds what
the shop makes of all of them: print and cut files, ticket, bill, nest and bags.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from layouts.markers.gather import Gathered
from layouts.papers.ticket.bags import saving_texts
from layouts.schemes.model import Scheme
from layouts.sheets.gang import Gang, mark_text, marked, stock_use, view_of
from layouts.terms.counts import counted
from layouts.terms.errors import BlockedError, InputError, OutputError, refuse_blocked
from layouts.terms.values import frozen
from layouts.terms.words import PieceId
from render.batch.counts import count_job
from render.batch.made_from import MadeFrom, hashes_of, kept_record
from render.batch.one_order import (
    OrderWork,
    Outcome,
    State,
    finish,
    record_of,
    refuse_unseen,
)
from render.decide import Decided
from render.files.atomic import StagedFiles
from render.files.intake import reads_noted
from render.files.overwrite import refuse_taken
from render.job import NestedOrder, nest_groups, write_job
from render.lists import nest_lists
from render.write.paperwork import Share

_MOST_NAMED = 4  # orders that a title names
Nested = Mapping[OrderWork, NestedOrder]


@frozen
class GangWork:
    """Orders to be nested together, and the folder of what they share."""

    orders: tuple[OrderWork, ...]
    folder: Path
    force: bool

    @property
    def paths(self) -> tuple[Path, ...]:
        """The files of all orders."""
        return tuple(path for each in self.orders for path in each.paths)

    def kept(self) -> tuple[Outcome, ...]:
        """The outcomes if every order is in the gang, and all folders are as they would be made."""
        names = [each.name for each in self.orders]
        counts = [each.counts(names) for each in self.orders]
        shared = self._record(self.orders)
        if shared is None or None in counts:
            return ()
        outcomes = [
            each.outcome(State.KEPT, count)
            for each, count in zip(self.orders, counts, strict=True)
            if count is not None
        ]
        return (*outcomes, self._outcome(State.KEPT, shared))

    def failed(self, why: str) -> tuple[Outcome, ...]:
        """The outcomes if nothing could be made."""
        return tuple(outcome for each in self.orders for outcome in each.failed(why))

    def run(self) -> tuple[Outcome, ...]:
        """Nest the orders that can be made together, and write every folder."""
        outcomes: list[Outcome] = []
        nested: dict[OrderWork, NestedOrder] = {}
        inputs = hashes_of(path for each in self.orders for path in each.files)
        with reads_noted() as noted:
            for work in self.orders:
                try:
                    refuse_unseen(work.folder.parent)
                    nested[work] = nest_lists(work.lists, work.given)
                except (InputError, BlockedError) as error:
                    outcomes.append(work.stopped(error))
                except OutputError as error:
                    outcomes += work.failed(str(error))
        together, apart = _divided(nested)
        for work, why in apart.items():
            outcomes += (replace(each, remark=each.remark or why) for each in work.run())
        together, taken = self._free(together)
        outcomes += taken
        if together:
            try:
                outcomes += self._make(together, {**noted, **inputs})
            except (InputError, BlockedError) as error:
                why = "; ".join(each.sentence() for each in error.findings if each.blocks)
                outcomes += (each for work in together for each in work.failed(why))
            except OutputError as error:
                outcomes += (each for work in together for each in work.failed(str(error)))
        return tuple(outcomes)

    def _free(self, together: Nested) -> tuple[Nested, list[Outcome]]:
        """The orders whose folders may be written, or are as they would be; the rest failed."""
        failed: list[Outcome] = []
        while True:
            names = [work.name for work in together]
            taken: list[OrderWork] = []
            for work in together:
                try:
                    if work.counts(names) is None:
                        refuse_taken(work.folder, self.force, work.files)
                except OutputError as error:
                    failed += work.failed(str(error))
                    taken.append(work)
            if not taken:
                return together, failed
            together = {work: each for work, each in together.items() if work not in taken}

    def _make(self, together: Nested, inputs: Mapping[Path, str]) -> list[Outcome]:
        """The order's folders first, then that of the gang, each whole or absent."""
        names = [work.name for work in together]
        marks = {work: mark_text(number) for number, work in enumerate(together)}
        shared = shared_order(together, marks)
        gang = Gang(
            {mark: work.name for work, mark in marks.items()},
            stock_use(shared.groups),
            stock_use([group for each in together.values() for group in each.groups]),
        )
        outcomes = []
        for work, nested in together.items():
            counts = work.counts(names)
            if counts is not None:
                outcomes.append(work.outcome(State.KEPT, counts))
                continue
            own = replace(nested, groups=view_of(shared.groups, marks[work]))
            with StagedFiles(work.folder, self.force) as files:
                job = write_job(own, files, Share.ORDER)
                counts = count_job(job.findings, job.markers, ())
                home = work.lists.path.parent
                finish(files, record_of(inputs, home, work.options(names), counts))
            outcomes.append(work.outcome(State.MADE, counts))
        record = self._record(tuple(together))
        if record is not None:
            return [*outcomes, self._outcome(State.KEPT, record)]
        refuse_taken(self.folder, self.force, (work.lists.path for work in together))
        with StagedFiles(self.folder, self.force) as files:
            job = write_job(shared, files, Share.GANG, gang)
            counts = count_job((), (), job.groups)
            remark = " ".join(saving_texts(gang))
            options = self.orders[0].options(names)
            record = record_of(inputs, self.folder.parent, options, counts, remark)
            finish(files, record)
        return [*outcomes, self._outcome(State.MADE, record)]

    def _record(self, orders: Sequence[OrderWork]) -> MadeFrom | None:
        """The record of the gang's folder, if it is as it would be made now."""
        options = self.orders[0].options([each.name for each in orders])
        return kept_record(self.folder, self.folder.parent, options)

    def _outcome(self, state: State, record: MadeFrom) -> Outcome:
        return Outcome(self.folder.name, Path(), state, record.counts, remark=record.remark)


def _divided(nested: Nested) -> tuple[Nested, Mapping[OrderWork, str]]:
    """The orders that go on the same stocks, and why each of the rest is made separately."""
    alike: dict[str, list[OrderWork]] = defaultdict(list)
    for work, each in nested.items():
        order = each.order
        alike[f"{order.stocks!r}, {order.keep_together}, {order.long_parts}"].append(work)
    most = max(alike.values(), key=len, default=[])
    if len(most) < 2:
        most = []
    why = "made separately: it asks for other stocks, or to be nested in another way, than the gang"
    alone = "made separately: no other order can share its sheets"
    return (
        {work: nested[work] for work in most},
        {work: why if most else alone for work in nested if work not in most},
    )


def shared_order(together: Nested, marks: Mapping[OrderWork, str]) -> NestedOrder:
    """The orders as one, nested together, each marker under its order's mark.

    Raises:
        InputError: stock in limited number does not suffice for all of them.
    """
    first = next(iter(together.values()))
    markers = tuple(
        marker
        for work, nested in together.items()
        for marker in marked(nested.decided.gathered.markers, marks[work])
    )
    names = [work.name for work in together]
    title = ", ".join(names) if len(names) <= _MOST_NAMED else counted(len(names), "order")
    orders = [nested.order for nested in together.values()]
    order = first.order.model_copy(
        update={
            "title": f"Gang: {title}",
            "plant": _common(each.plant for each in orders) or "",
            "revision": _common(each.revision for each in orders) or "",
            "date": _common(each.date for each in orders),
            "items": tuple(item for each in orders for item in each.items),
            "piece_id": PieceId.NONE,
            "signs": (),
        }
    )
    groups, unplaced = nest_groups(markers, order, first.options)
    refuse_blocked(unplaced)
    groups = tuple(replace(group, job=order.title) for group in groups)
    decided = Decided(Gathered(markers, ()), _schemes(together), first.decided.typefaces)
    return NestedOrder(order, first.options, decided, groups, unplaced)


def _common(texts: Iterable[str | None]) -> str | None:
    """The text that all share; None if they differ."""
    found = set(texts)
    return found.pop() if len(found) == 1 else None


def _schemes(together: Nested) -> Mapping[str, Scheme]:
    """Every scheme in use; plants may have files of one name that differ."""
    schemes: dict[str, Scheme] = {}
    for work, nested in together.items():
        for key, scheme in nested.decided.schemes.items():
            known = schemes.setdefault(key, scheme)
            if known != scheme:
                schemes[f"{key} ({work.name})"] = scheme
    return schemes
