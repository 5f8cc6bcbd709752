"""Abbreviations that a plant actually uses, each with its meaning there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from layouts.order.order import Order, PipeMarker, ValveTag
from layouts.schemes.model import Scheme
from layouts.terms.values import frozen


@frozen
class Abbreviation:
    """A service code with its meanings in this plant, one where all is well.

    ``local`` means that no scheme of the order has it; ``note`` is the scheme's remark on it.
    """

    code: str
    meanings: tuple[str, ...]
    local: bool
    note: str = ""

    @property
    def meaning(self) -> str:
        """Its meaning in one text; empty if none is given."""
        return " or ".join(self.meanings)


def abbreviations(order: Order, schemes: Mapping[str, Scheme]) -> tuple[Abbreviation, ...]:
    """Every service code of the order's pipes and valves, by code.

    ``schemes`` are those in use by the names that the order gives them. The list's own meaning
    comes first, because the plant trains it; the scheme's is used if the list gives none.
    """
    meanings: dict[str, list[str]] = {}
    known: dict[str, str] = {}
    for code, scheme, given in dict.fromkeys(_services(order)):
        found = meanings.setdefault(code, [])
        service = schemes[scheme].services.get(code)
        if service is not None:
            known[code] = service.note
        meaning = given or (service.meaning if service is not None else "")
        if meaning and meaning.casefold() not in {each.casefold() for each in found}:
            found.append(meaning)
    return tuple(
        Abbreviation(code, tuple(found), code not in known, known.get(code, ""))
        for code, found in sorted(meanings.items())
    )


def _services(order: Order) -> Iterator[tuple[str, str, str]]:
    """Of each pipe and valve the service's code, the scheme's name and the list's own meaning."""
    for item in order.items:
        spec = item.spec
        if isinstance(spec, PipeMarker | ValveTag) and spec.service:
            meaning = spec.meaning if isinstance(spec, PipeMarker) else ""
            yield spec.service.upper(), spec.scheme or order.scheme, meaning
