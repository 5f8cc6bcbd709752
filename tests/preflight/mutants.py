"""The mutants: a good file, an edit that plants one fault, the code that must name it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from pikepdf import Pdf

from render.write.pdf import write
from tests.helpers.pdf_samples import sheet
from tests.helpers.pdf_system import claiming
from tests.preflight.edits import edited


@cache
def base(claims: bool) -> bytes:
    """The good file: one sheet, with or without a printer profile."""
    return write(sheet(), claiming()) if claims else write(sheet())


@dataclass(frozen=True)
class Mutant:
    """``edit`` changes objects, ``cut`` changes bytes; one of the two is given."""

    name: str
    code: str
    edit: Callable[[Pdf], None] | None = None
    cut: Callable[[bytes], bytes] | None = None
    claims: bool = False

    def made(self) -> bytes:
        data = base(self.claims)
        if self.edit:
            return edited(data, self.edit)
        assert self.cut
        return self.cut(data)


def _all() -> tuple[Mutant, ...]:
    from tests.preflight import mutants_claim, mutants_content, mutants_cut, mutants_file

    found: list[Mutant] = []
    for module in (mutants_file, mutants_claim, mutants_content, mutants_cut):
        found += module.mutants()
    return tuple(found)


MUTANTS = _all()
