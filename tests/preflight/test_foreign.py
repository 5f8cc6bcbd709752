"""Sound files of other programs: nothing wrong is told of any, under either set of rules."""

from __future__ import annotations

from pathlib import Path

import pytest

from render.preflight import STANDARD, Verdict, inspect
from tests.preflight.foreign import Foreign, foreign

FILES = list(foreign())


@pytest.mark.tools
@pytest.mark.parametrize(
    "file",
    [pytest.param(each, marks=pytest.mark.full if each.heavy else ()) for each in FILES],
    ids=lambda file: file.name,
)
def test_a_sound_file_is_told_what_is_true_of_it(file: Foreign, tmp_path: Path) -> None:
    path = file.make(tmp_path)
    house, standard = inspect(path), inspect(path, rules=STANDARD)
    assert house.codes == file.house, [point.what for point in house.failures]
    assert all(point.house for point in house.failures)
    assert standard.codes == frozenset()
    warned = {point.code for point in standard.points if point.verdict is Verdict.WARNING}
    assert warned == file.house


def test_there_are_enough_files() -> None:
    assert len(FILES) >= 30
    assert len({file.name for file in FILES}) == len(FILES)
