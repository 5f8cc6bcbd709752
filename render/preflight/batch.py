"""Many files at once: a list of PDFs or whole job folders in, a verdict for each and for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from layouts.terms.counts import counted
from layouts.terms.values import frozen
from render.preflight import plates
from render.preflight.guard import inspect_guarded
from render.preflight.report import Report, Verdict, as_dict, unreadable
from render.preflight.rules import Rules
from render.preflight.wording import as_text

_EXIT = {Verdict.FAIL: 1, Verdict.TOO_LARGE: 2, Verdict.UNREADABLE: 2}
_SHORT = {
    Verdict.PASS: "pass",
    Verdict.FAIL: "fail",
    Verdict.TOO_LARGE: "too large to judge",
    Verdict.UNREADABLE: "cannot be read",
}


@frozen
class Batch:
    """Reports by the names of their files, in the order in which they were asked for."""

    reports: tuple[tuple[str, Report], ...]

    @property
    def exit_code(self) -> int:
        """0 where all files pass, 1 where one fails, 2 where one cannot be judged."""
        return max(_EXIT.get(report.verdict, 0) for _, report in self.reports)

    @property
    def verdict(self) -> Verdict:
        """The verdict of the worst file."""
        order = (Verdict.UNREADABLE, Verdict.TOO_LARGE, Verdict.FAIL)
        found = {report.verdict for _, report in self.reports}
        return next((verdict for verdict in order if verdict in found), Verdict.PASS)

    def text(self, passes: bool = False) -> str:
        """The reports as people read them, the verdict on all files first."""
        alone = len(self.reports) == 1
        parts = [] if alone else [self._headline()]
        parts += [as_text(report, passes=passes, name=name) for name, report in self.reports]
        return "\n\n".join(parts)

    def as_dict(self) -> dict[str, object]:
        """The reports as JSON holds them."""
        files = [{"file": name, **as_dict(report)} for name, report in self.reports]
        return {"verdict": self.verdict.value, "files": files}

    def _headline(self) -> str:
        counts = [
            (sum(report.verdict is verdict for _, report in self.reports), words)
            for verdict, words in _SHORT.items()
        ]
        told = ", ".join(f"{number} {words}" for number, words in counts if number)
        return f"verdict: {self.verdict.value} ({counted(len(self.reports), 'file')}: {told})"


def inspect_all(paths: Sequence[Path], rules: Rules, with_plates: bool = False) -> Batch:
    """Judge files, and every PDF of the folders among them; folders are searched to the bottom."""
    asked = list(dict.fromkeys(_find_files(paths)))
    files = [path for path, fault in asked if not fault]
    judged = iter(inspect_guarded(files, rules))
    reports = []
    for path, fault in asked:
        report = fault or next(judged)
        if with_plates and report.verdict in (Verdict.PASS, Verdict.FAIL):
            found = plates.check(path.read_bytes()).points()
            report = replace(report, points=(*report.points, *found))
        reports.append((str(path), report))
    return Batch(tuple(reports))


def _find_files(paths: Iterable[Path]) -> Iterable[tuple[Path, Report | None]]:
    """Each path, with the report on any that is not a file."""
    for path in paths:
        if not path.is_dir():
            yield path, None
            continue
        inside = sorted(each for each in path.rglob("*") if each.suffix.lower() == ".pdf")
        if not inside:
            what = "the folder holds no PDF"
            yield path, Report((unreadable("file-missing", what, "name a job folder or a PDF"),))
        yield from ((each, None) for each in inside)
