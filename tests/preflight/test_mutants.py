"""Files with one fault each: every one is rejected with the one code that names its fault."""

from __future__ import annotations

import pytest

from render.preflight import Verdict, inspect
from tests.preflight.mutants import MUTANTS, Mutant, base


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.name)
def test_a_mutant_is_rejected_with_its_one_code(mutant: Mutant) -> None:
    report = inspect(mutant.made())
    assert {point.code for point in report.failures} == {mutant.code}
    assert report.verdict in (Verdict.FAIL, Verdict.UNREADABLE)


def test_there_are_enough_mutants_and_each_has_a_name_of_its_own() -> None:
    assert len(MUTANTS) >= 60
    assert len({mutant.name for mutant in MUTANTS}) == len(MUTANTS)


def test_the_files_that_mutants_are_made_from_are_good() -> None:
    for claims in (False, True):
        report = inspect(base(claims))
        assert report.failures == ()
