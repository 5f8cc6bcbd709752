"""Contents across the order: other names for a medium, and contents by another scheme."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from layouts.review.lines import Line, place_of
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding, Severity


def renamed_contents(lines: Iterable[Line]) -> Iterator[Finding]:
    """One note for each medium name that the list uses but the markers do not print."""
    groups: dict[tuple[str, str], list[Line]] = defaultdict(list)
    for line in lines:
        if line.carried.renamed and not line.spec.legend:
            groups[line.carried.written, line.carried.word].append(line)
    for (written, word), found in groups.items():
        medium = found[0].carried.medium
        yield Finding(
            "contents-renamed",
            Severity.NOTE,
            f"{written} is printed as {word}",
            "nothing to do; a plant that prints its own word says written_contents = true in its "
            "scheme file",
            medium.source if medium is not None else "",
            place_of((line.item for line in found), "contents", found[0].name),
        )


def other_schemes(
    lines: Sequence[Line], schemes: Mapping[str, Scheme], default: str
) -> Iterator[Finding]:
    """One note for the contents that the lines' own scheme leaves to another scheme."""
    found = [
        line
        for line in lines
        if line.scheme is not schemes[line.spec.scheme or default]
        and line.carried.pairing is not None
    ]
    if not found:
        return
    words = ", ".join(dict.fromkeys(line.contents for line in found))
    titles = " and ".join(dict.fromkeys(repr(line.scheme.title) for line in found))
    yield Finding(
        "contents-by-other-scheme",
        Severity.NOTE,
        f"{words} by {titles}, since the order's scheme does not carry them",
        "nothing to do; to choose another scheme, write it in the column 'scheme'",
        found[0].scheme.standard,
        place_of((line.item for line in found), "contents", found[0].name),
    )
