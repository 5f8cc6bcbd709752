"""A straight run that is too short: what is given up, to the last hundredth of a millimeter."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.face import content_length
from layouts.face.fit import fit_design
from layouts.order.order import PipeMarker
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Mount
from layouts.schemes.loader import load_scheme
from layouts.terms.findings import Finding, Severity
from render.read.fonts import default_typefaces

FACES = default_typefaces()
STEP = 6.35  # faces go up to the next quarter inch
INCH = 25.4


def planned(straight: float | None, **fields: object) -> MarkerPlan:
    base: dict[str, object] = {
        "service": "HPL",
        "state": "liquid",
        "pressure": "185 psig",
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
        "environment": {"surface": "60 F"},
    }
    given = {**base, **fields} | ({"straight": f"{straight} mm"} if straight else {})
    spec = PipeMarker.model_validate(given)
    (made,), _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    return made


def lengths(made: MarkerPlan) -> list[float]:
    """Of the full form and the shorter ones, up to the quarter inch."""
    designs = [made.design, *(design for _, design in made.shorter)]
    return [-(-(content_length(each, FACES) - 1e-9) // STEP) * STEP for each in designs]


def short(made: MarkerPlan) -> list[Finding]:
    return [each for each in made.findings if each.code == "run-short"]


def test_each_form_is_taken_up_to_its_own_length() -> None:
    full = planned(5000.0)
    forms = [full.design, *(design for _, design in full.shorter)]
    sizes = lengths(full)
    assert sizes == sorted(sizes, reverse=True)
    for number, length in enumerate(sizes):
        fitted = fit_design(planned(length + 0.001), FACES)
        assert fitted.design.lines == forms[number].lines
        assert len(short(fitted)) == (number > 0)
    # Less than the shortest form takes a plate that may reach past a fitting.
    plated = fit_design(planned(sizes[-1] - 0.01), FACES)
    assert plated.build.mount is Mount.STRAPPED_PLATE
    assert plated.design.lines == forms[-1].lines
    assert plated.design.plate == plated.build.plate
    (said,) = short(plated)
    assert said.severity is Severity.WARNING
    assert said.place.field == "straight_in"
    assert said.right.startswith("a plate on straps taken instead")
    assert f"{sizes[-1] / INCH:g}"[:2] in said.what


def test_two_lines_that_would_wrap_out_of_sight_go_on_a_flat_plate() -> None:
    # Two lines at 1.5 letters: 2.5 heights. On NPS 2, 2.375 in, letters of 1.25 in turn them by
    # 3.125 / 2.375 = 75 degrees, more than the 50 at which a letter loses a third (derived); on
    # NPS 4, 4.5 in, by 40 degrees.
    for pipe, mount in (("NPS 2", Mount.STRAPPED_PLATE), ("NPS 4", Mount.FILM)):
        two = lengths(planned(5000.0, pipe=pipe))[-1]
        fitted = fit_design(planned(two + 0.001, pipe=pipe), FACES)
        assert len(fitted.design.lines) == 2
        assert fitted.build.mount is mount
        (said,) = short(fitted)
        assert ("would wrap out of sight" in said.right) is (mount is Mount.STRAPPED_PLATE)
        assert (fitted.design.plate is None) is (mount is Mount.FILM)
    # One line of the same letters is 30 degrees at most and stays film.
    one = lengths(planned(5000.0, pipe="NPS 2"))[1]
    assert fit_design(planned(one + 0.001, pipe="NPS 2"), FACES).build.mount is Mount.FILM


@pytest.mark.parametrize(("by", "blocked"), [(0.01, False), (-0.01, True)])
def test_a_neighbors_length_must_hold_the_words(by: float, blocked: bool) -> None:
    needed = content_length(planned(None).design, FACES)
    made = planned(None, neighbor={"length": f"{needed + by} mm"})
    found = [each for each in fit_design(made, FACES).findings if "length" in each.code]
    assert [each.code for each in found] == ["length-below-content"] * blocked
    if blocked:
        assert found[0].severity is Severity.BLOCKING
        assert found[0].place.field == "neighbor_length_in"
    # A length that may grow holds any words.
    free = replace(made, design=replace(made.design, fixed_length=False))
    assert fit_design(free, FACES).findings == made.findings


@pytest.mark.parametrize(("by", "straps"), [(-0.2, 2), (0.2, 3)])
def test_a_plate_of_36_inches_is_held_at_its_ends_and_a_longer_one_in_its_middle(
    by: float, straps: int
) -> None:
    # A border of 1/4 in and an ear of 1 in at each end leave 33.5 in of film. From memory.
    made = planned(None, environment={"surface": "190 F"}, neighbor={"length": f"{33.5 + by} in"})
    held = fit_design(made, FACES)
    assert held.build.straps == straps
    assert held.design.plate is not None
    assert held.design.plate.middle is (straps == 3)
    said = [each.text for each in held.reasons if "held in the middle" in each.text]
    assert len(said) == straps - 2


def test_a_flag_hangs_from_one_ear_however_long_it_is() -> None:
    flag = planned(None, environment={"surface": "190 F"}, neighbor={"length": "60 in"})
    assert flag.design.plate is not None
    one = replace(flag.design.plate, ears=1)
    made = replace(flag, design=replace(flag.design, plate=one))
    assert fit_design(made, FACES) == made
