"""Any pipe within the tables, by property: hops 2 and 3 and the page behind them."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

import pipelegend
from render.one_marker import Drawing

INCH = 25.4
# Outside diameter up to, length of the color field and letter height from (in): ASME A13.1,
# Table "Size of legend letters".
ROWS = ((1.25, 8, 0.5), (2, 8, 0.75), (6, 12, 1.25), (10, 24, 2.5), (1e9, 32, 3.5))
DIAMETERS = st.integers(75, 4000).map(lambda hundredths: hundredths / 100)


def water(od: float) -> Drawing:
    return pipelegend.marker(
        contents="COOLING WATER", scheme="asme-a13-1", od=f"{od:g}in", flow="left"
    )


def letters(drawn: Drawing) -> float:
    return drawn.markers[0].face.measures.letter_height


@settings(deadline=None, max_examples=25)
@given(DIAMETERS)
def test_sizes_are_never_below_the_table(od: float) -> None:
    drawn = water(od)
    _, field, height = next(row for row in ROWS if od <= row[0])
    assert letters(drawn) >= height * INCH - 1e-6
    assert drawn.size[0] >= field * INCH - 1e-6


@settings(deadline=None, max_examples=15)
@given(DIAMETERS, DIAMETERS)
def test_a_larger_pipe_never_has_smaller_letters(one: float, other: float) -> None:
    small, large = sorted((one, other))
    assert letters(water(small)) <= letters(water(large))


@settings(deadline=None, max_examples=25)
@given(
    st.sampled_from(("HTRS", "LTRS")),
    st.sampled_from(("left", "right", "both", "up")),
    st.sampled_from(("NPS 1", "NPS 2", "NPS 4", "NPS 8", "NPS 12")),
    st.integers(0, 4),
    st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789-", min_size=1, max_size=24),
)
def test_all_print_lies_within_the_piece(
    service: str, flow: str, pipe: str, covering: int, legend: str
) -> None:
    drawn = pipelegend.marker(
        service,
        state="both",
        level="low",
        pipe=pipe,
        covering=f"{covering}in",
        flow=flow,
        run="vertical" if flow == "up" else "horizontal",
        legend=f"AMMONIA {legend}",
        accept={"covering-implausible": "as drawn"},
    )
    for marker in drawn.markers:
        for part in marker.face.parts:
            reach = part.box.grown(part.bleed)
            assert all(reach.contains(each.path.bounds(), slack=1e-6) for each in part.art)
