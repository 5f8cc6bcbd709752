"""Both sides matched: what the list names, and what the sheets name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeAlias

from layouts.crosscheck.drawn import DrawnSheet, DrawnThing
from layouts.crosscheck.line_number import line_numbers, take_apart
from layouts.crosscheck.listed import ListedThing
from layouts.crosscheck.tag_forms import (
    TagForm,
    as_digits,
    learned_forms,
    plain_name,
    tags_in,
)
from layouts.terms.values import frozen
from layouts.terms.words import Kind

NameKey: TypeAlias = tuple[str, ...]


@frozen
class SeenThing:
    """A thing as the drawings name it, with every sheet that does and all that they say."""

    kind: Kind
    name: str
    sheets: tuple[DrawnSheet, ...]
    sizes: tuple[str, ...] = ()
    services: tuple[str, ...] = ()
    classes: tuple[str, ...] = ()
    emergency: bool = False


@frozen
class CrossMatch:
    """Names that match, names that nearly match, and names on only one side."""

    equal: tuple[tuple[ListedThing, SeenThing], ...]
    near: tuple[tuple[ListedThing, SeenThing], ...]
    undrawn: tuple[ListedThing, ...]
    unlisted: tuple[SeenThing, ...]


def crossmatch(
    listed: Sequence[ListedThing], sheets: Iterable[DrawnSheet], more_forms: Iterable[str] = ()
) -> CrossMatch:
    """Match a list with sheets; ``more_forms`` are forms of tags that the list has none of.

    Raises:
        InputError: a form is not valid.
    """
    services = frozenset(service for each in listed for service in each.services)
    seen = _seen(sheets, _forms(listed, services, more_forms), services)
    known = {_key(each.kind, each.name, services): each for each in listed}
    equal = tuple((known[key], thing) for key, thing in seen.items() if key in known)
    undrawn = {key: each for key, each in known.items() if key not in seen}
    unlisted = {key: thing for key, thing in seen.items() if key not in known}
    near = tuple(_near(undrawn, unlisted))
    paired = {id(each) for pair in near for each in pair}
    return CrossMatch(
        equal,
        near,
        tuple(each for each in undrawn.values() if id(each) not in paired),
        tuple(each for each in unlisted.values() if id(each) not in paired),
    )


def _forms(
    listed: Iterable[ListedThing], services: frozenset[str], more: Iterable[str]
) -> list[TagForm]:
    """Forms of tags, and of lines whose names are not line numbers."""
    named = (
        (each.kind, each.name)
        for each in listed
        if each.kind is not Kind.PIPE or take_apart(each.name, services) is None
    )
    return learned_forms(named, more)


def _key(kind: Kind, name: str, services: frozenset[str]) -> NameKey:
    """Service and number of a line; of anything else its name without separators."""
    line = take_apart(name, services) if kind is Kind.PIPE else None
    return ("line", *line.key) if line is not None else (plain_name(name),)


def _seen(
    sheets: Iterable[DrawnSheet], forms: Sequence[TagForm], services: frozenset[str]
) -> dict[NameKey, SeenThing]:
    found: dict[NameKey, SeenThing] = {}
    for sheet in sheets:
        for thing in _things_of(sheet, forms, services):
            key = _key(thing.kind, _full_name(thing), services)
            found[key] = _joined(found.get(key), thing, sheet)
    return found


def _full_name(thing: DrawnThing) -> str:
    """A line by service and number where its name is the number only."""
    if thing.kind is Kind.PIPE and thing.service and plain_name(thing.name).isdecimal():
        return f"{thing.service}-{thing.name}"
    return thing.name


def _joined(known: SeenThing | None, thing: DrawnThing, sheet: DrawnSheet) -> SeenThing:
    before = known or SeenThing(thing.kind, _full_name(thing), ())
    return SeenThing(
        before.kind,
        before.name,
        tuple(dict.fromkeys((*before.sheets, sheet))),
        _more(before.sizes, thing.size),
        _more(before.services, thing.service.upper()),
        _more(before.classes, thing.piping_class),
        before.emergency or bool(thing.emergency),
    )


def _more(before: tuple[str, ...], text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*before, text))) if text else before


def _things_of(
    sheet: DrawnSheet, forms: Sequence[TagForm], services: frozenset[str]
) -> Iterator[DrawnThing]:
    yield from sheet.things
    yield from (DrawnThing(kind, name) for kind, name in tags_in(sheet.texts, forms))
    for text in sheet.texts:
        for line in line_numbers(text.text, services):
            yield DrawnThing(Kind.PIPE, line.text, line.size, line.service, line.piping_class)


def _near(
    undrawn: dict[NameKey, ListedThing], unlisted: dict[NameKey, SeenThing]
) -> Iterator[tuple[ListedThing, SeenThing]]:
    """Pairs that nearly agree, the surest first; each thing is in one pair at most."""
    left, right = dict(undrawn), dict(unlisted)
    for is_near in _NEAR:
        for key, listed in list(left.items()):
            other = next((each for each in right if is_near(key, each)), None)
            if other is not None:
                yield listed, right.pop(other)
                del left[key]


def _read_wrong(one: NameKey, other: NameKey) -> bool:
    """Letters and digits that look alike: HV-l18 and HV-118."""
    return as_digits("".join(one)) == as_digits("".join(other))


def _swapped(one: NameKey, other: NameKey) -> bool:
    """Two neighboring characters the other way round: HV-181 and HV-118."""
    a, b = "".join(one), "".join(other)
    if len(a) != len(b) or a == b:
        return False
    at = [n for n, (x, y) in enumerate(zip(a, b, strict=True)) if x != y]
    return len(at) == 2 and at[1] == at[0] + 1 and a[at[0]] == b[at[1]] and a[at[1]] == b[at[0]]


def _one_more(one: NameKey, other: NameKey) -> bool:
    """A character doubled or lost: HV-1118 and HV-118."""
    short, long = sorted(("".join(one), "".join(other)), key=len)
    if len(long) != len(short) + 1:
        return False
    return any(
        long[:n] + long[n + 1 :] == short and long[n] in long[max(0, n - 1) : n]
        for n in range(len(long))
    )


def _same_number(one: NameKey, other: NameKey) -> bool:
    """Lines with one number and different services."""
    return len(one) == len(other) == 3 and one[2] == other[2]


_NEAR: tuple[Callable[[NameKey, NameKey], bool], ...] = (
    _read_wrong,
    _swapped,
    _one_more,
    _same_number,
)
