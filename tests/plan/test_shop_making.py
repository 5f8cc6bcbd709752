"""A plan as a shop makes it: its own holes, slots and tag backs, where they differ from practice.

The sizes of practice are common practice, no source; a rivet's hole is 0.1 mm wider than the rivet
(ISO 15977, from memory).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from layouts.order.order import PipeMarker, Specification, ValveTag
from layouts.plan import MarkerPlan, plan
from layouts.plan.build import Mount
from layouts.plan.design import Plate
from layouts.plan.shop_making import as_made
from layouts.schemes.loader import load_scheme
from layouts.schemes.making import Making, PlateMaking, TagMaking
from layouts.terms.words import Backs, HoleAt

INCH = 25.4
SLOT_LENGTH, SLOT_WIDTH, SCREW = 5 / 8 * INCH, 3 / 16 * INCH, 9 / 32 * INCH


def decided(spec: Specification) -> MarkerPlan:
    (made,), _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    return made


def pipe(surface: str, **fields: object) -> MarkerPlan:
    base: dict[str, object] = {
        "service": "HSD",
        "state": "vapor",
        "pressure": "185 psig",
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
        "straight": "12 in",
    }
    environment = {"surface": surface}
    return decided(PipeMarker.model_validate({**base, "environment": environment, **fields}))


def tag(sides: int = 1) -> MarkerPlan:
    return decided(ValveTag.model_validate({"kind": "valve", "tag": "HV-1", "sides": sides}))


def plate_of(made: MarkerPlan) -> Plate:
    assert made.design.plate is not None
    assert made.build.plate == made.design.plate
    return made.design.plate


STRAPPED, POSTED = pipe("190 F"), pipe("250 F")


def test_without_a_shops_own_sizes_nothing_changes() -> None:
    for made in (STRAPPED, POSTED, tag(), tag(2)):
        assert as_made(made, Making()) is made
    # A thickness names the stock, and makes no other face.
    thick = as_made(tag(), Making(TagMaking(thickness="1/16 in")))
    assert thick.design == tag().design
    assert thick.design.way == ""
    assert thick.build.thickness == "1/16 in"


def test_slots_of_the_shop_go_into_strapped_plates() -> None:
    assert STRAPPED.build.mount is Mount.STRAPPED_PLATE
    plate = plate_of(STRAPPED)
    assert (plate.slot_length, plate.slot_width) == pytest.approx((SLOT_LENGTH, SLOT_WIDTH))
    longer = plate_of(as_made(STRAPPED, Making(plates=PlateMaking(slot_length=20.0))))
    assert (longer.slot_length, longer.slot_width) == pytest.approx((20.0, SLOT_WIDTH))
    wider = plate_of(as_made(STRAPPED, Making(plates=PlateMaking(slot_width=6.0))))
    assert (wider.slot_length, wider.slot_width) == pytest.approx((SLOT_LENGTH, 6.0))
    # Its holes for screws are for plates on posts.
    screws = plate_of(as_made(STRAPPED, Making(plates=PlateMaking(screw_hole=8.0))))
    assert (screws.slot_length, screws.slot_width) == pytest.approx((SLOT_LENGTH, SLOT_WIDTH))
    assert screws.way == ""


def test_screw_holes_of_the_shop_go_into_plates_on_posts() -> None:
    assert POSTED.build.mount is Mount.STAND_OFF
    assert plate_of(POSTED).slot_width == pytest.approx(SCREW)
    making = Making(plates=PlateMaking(screw_hole=8.0, slot_length=20.0, slot_width=6.0))
    plate = plate_of(as_made(POSTED, making))
    assert (plate.slot_length, plate.slot_width) == (0.0, 8.0)


def test_rivets_and_the_distance_from_the_edge() -> None:
    making = Making(plates=PlateMaking(rivet=4.0, hole_edge=5.0, thickness="0.080 in"))
    made = as_made(STRAPPED, making)
    plate = plate_of(made)
    assert (plate.rivet_hole, plate.edge) == (4.1, 5.0)
    assert made.build.thickness == "0.080 in"
    assert plate.way == "5 4.1"
    assert made.design.id_text.endswith("|5 4.1")
    # Without either, an opening is as far from the edge as it is wide.
    assert plate_of(STRAPPED).edge == pytest.approx(SLOT_WIDTH)
    assert plate_of(STRAPPED).rivet_hole == 0.0


def test_shorter_forms_and_the_last_resort_are_made_alike() -> None:
    made = as_made(STRAPPED, Making(plates=PlateMaking(slot_length=20.0)))
    assert made.shorter
    assert [what for what, _ in made.shorter] == [what for what, _ in STRAPPED.shorter]
    assert {design.plate.slot_length for _, design in made.shorter if design.plate} == {20.0}
    assert made.strapped is not None
    assert made.strapped.plate is not None
    assert made.strapped.plate.slot_length == 20.0
    assert as_made(pipe("60 F", straight=None), Making(TagMaking(hole=4.0))).strapped is None


@pytest.mark.parametrize(
    ("tags", "hole", "edge", "at", "way"),
    [
        (TagMaking(hole=4.0), 4.0, 3.75, HoleAt.TOP, "3.75 top"),
        (TagMaking(hole_edge=5.0), 5.0, 5.0, HoleAt.TOP, "5 top"),
        (TagMaking(hole_at=HoleAt.CORNERS), 5.0, 3.75, HoleAt.CORNERS, "3.75 corners"),
    ],
)
def test_holes_of_tags(tags: TagMaking, hole: float, edge: float, at: HoleAt, way: str) -> None:
    # By practice a hole of 5 mm, 3.75 mm from the edge.
    design = as_made(tag(), Making(tags)).design
    assert (design.hole_diameter, design.hole_edge, design.hole_at) == (hole, edge, at)
    assert design.way == way
    # A marker without a hole has none in this shop either.
    assert as_made(STRAPPED, Making(tags)).design.hole_diameter == 0.0


@pytest.mark.parametrize("backs", [each for each in Backs if each is not Backs.SECOND_TAG])
def test_a_tag_for_both_sides_may_be_one_with_two_faces(backs: Backs) -> None:
    def sides(made: MarkerPlan) -> list[str]:
        return [each.text for each in made.reasons if each.topic == "sides"]

    made = as_made(tag(2), Making(TagMaking(backs=backs)))
    assert (made.per_position, made.design.backs) == (1, backs)
    assert sides(made) == [
        "one tag with the same words on both faces, so that it reads from both sides"
    ]
    assert len(made.reasons) == len(tag(2).reasons)
    assert made.design.way == f" {backs}"
    # Read from one side it stays a plain tag; so does a pair of tags, back to back.
    assert as_made(tag(), Making(TagMaking(backs=backs))).design.backs is Backs.SECOND_TAG
    pair = as_made(tag(2), Making(TagMaking(hole=4.0)))
    assert (pair.per_position, pair.design.backs) == (2, Backs.SECOND_TAG)
    assert sides(pair) == ["two tags back to back, so that it reads from both sides"]


def test_ids_name_what_departs_from_practice_only() -> None:
    design = tag().design
    assert design.id_text == repr(design)
    assert replace(design, compact=True).id_text == f"{design!r}|compact"
    plated = STRAPPED.design
    assert plated.plate is not None
    middle = replace(plated, plate=replace(plated.plate, middle=True))
    assert middle.id_text == f"{plated!r}|middle"
    assert replace(design, way="a").id_text == f"{design!r}|a"
