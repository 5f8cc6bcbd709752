"""Printing: folded at words and colored on a terminal, one line each where a program reads it."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, TextIO

import typer

if TYPE_CHECKING:
    from layouts.terms.findings import Finding
    from render.options import Progress

_NARROWEST, _WIDEST = 40, 120
_MOST = 1000  # findings of one weight, in full; nobody reads more in a terminal
HOPS = ("reading", "planning", "nesting", "writing")
_HOP_WORDS = {
    "writing": "writing and checking the files",
    "compiling": "nesting: loading its compiler, which takes longer the first time",
}
_WITHIN = {"compiling": "nesting"}


def print_lines(text: str | Iterable[str], err: bool = False) -> None:
    """Lines as they are, or folded to the width of a terminal below their own indent."""
    from layouts.terms.signs import printable

    lines = text.splitlines() if isinstance(text, str) else text
    stream = sys.stderr if err else sys.stdout
    for line in lines:
        for part in fold(line, width_of()) if stream.isatty() else (line,):
            typer.echo(printable(part), err=err)


def print_findings(findings: Iterable[Finding], err: bool = False) -> None:
    """Findings by row for a person at a terminal, otherwise one line each.

    Of a great many of one weight the first are listed and the others counted.
    """
    from render.cli.findings import finding_blocks, finding_lines, first_of_each, tally

    stream = sys.stderr if err else sys.stdout
    told, untold = first_of_each(findings, _MOST)
    told = [_seen(each) for each in told]
    blocks = finding_blocks(told, width_of(), has_color(stream))
    for line in blocks if stream.isatty() else finding_lines(told):
        typer.echo(line, err=err)
    if untold:
        typer.echo(f"and more: {tally(untold)}; --json lists them all", err=err)


def _seen(finding: Finding) -> Finding:
    """The finding with no sign in it that a terminal would obey."""
    from layouts.terms.signs import printable

    place = finding.place
    return replace(
        finding,
        what=printable(finding.what),
        right=printable(finding.right),
        accepted=printable(finding.accepted),
        place=replace(
            place,
            file=printable(place.file),
            field=printable(place.field),
            marker=printable(place.marker),
            sheet=printable(place.sheet),
            heading=printable(place.heading),
        ),
    )


def fold(text: str, width: int) -> list[str]:
    """A line wrapped between words, with a hanging indent."""

    hang = "  " + " " * (len(text) - len(text.lstrip()))
    if len(text) <= width:
        return [text]
    return textwrap.wrap(
        text,
        width,
        subsequent_indent=hang,
        break_long_words=False,
        break_on_hyphens=False,
        drop_whitespace=True,
    )


def width_of() -> int:
    """Columns of the terminal, within what reads well."""
    return max(_NARROWEST, min(_WIDEST, shutil.get_terminal_size((80, 24)).columns))


def has_color(stream: TextIO) -> bool:
    """Whether color may be used: on a terminal that has it, unless NO_COLOR is set."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


@contextmanager
def progress(quiet: bool) -> Iterator[Progress]:
    """A line with the hop at work, how much of it is done, and the time; on a terminal only."""
    from render.options import no_progress

    if quiet or not sys.stderr.isatty():
        yield no_progress
        return
    from rich.console import Console

    start = time.monotonic()
    with Console(stderr=True).status("") as status:

        def step(hop: str, done: int = 0, total: int = 0) -> None:
            within = _WITHIN.get(hop, hop)
            number = HOPS.index(within) + 1 if within in HOPS else len(HOPS)
            counted = f", {done} of {total}" if total > 1 else ""
            seconds = time.monotonic() - start
            status.update(
                f"{number}/{len(HOPS)} {_HOP_WORDS.get(hop, hop)}{counted} ({seconds:.0f} s)"
            )

        yield step
