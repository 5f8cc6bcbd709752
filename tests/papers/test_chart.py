"""The reference chart, read back: sizes of sheet and letters, and all that it must say."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from layouts.drawing import Rect
from layouts.drawing.document import Document, Placement
from layouts.papers.chart import PosterSize, chart
from layouts.papers.schedule import valve_rows
from layouts.schemes.loader import load_scheme
from render.preflight import PAPERS, Verdict, inspect
from render.write import pdf
from tests.helpers.packs_plant import Plant, pipe, plant
from tests.helpers.packs_reading import all_letters, letters, squeezed
from tests.helpers.paper_reading import words

INCH = 25.4


@pytest.fixture(scope="module")
def made() -> Plant:
    return plant()


@pytest.fixture(scope="module")
def charts(made: Plant) -> dict[PosterSize, Document]:
    return {size: drawn(made, size) for size in PosterSize}


def drawn(made: Plant, size: PosterSize = PosterSize.POSTER, date: str | None = None) -> Document:
    valves = valve_rows(made.order, made.schemes)
    return chart(made.order, made.markers, valves, made.schemes, made.typefaces, size, date)


def large_letters(document: Document, least: float) -> str:
    """The text whose capitals are at least so many mm high; glyphs are drawn 10 mm high."""
    return all_letters(document, lambda item: item.at.d * 10 >= least - 1e-6)


def test_sheets_are_what_printers_call_them(charts: dict[PosterSize, Document]) -> None:
    # 24 x 36 in; ISO 216 A1; ANSI/ASME Y14.1 size A. A point is 1/72 in (ISO 32000-1).
    wanted = {
        PosterSize.POSTER: (1728.0, 2592.0),
        PosterSize.A1: (594 / INCH * 72, 841 / INCH * 72),
        PosterSize.LETTER: (612.0, 792.0),
    }
    for size, document in charts.items():
        for page in PdfReader(io.BytesIO(pdf.write(document))).pages:
            assert [float(each) for each in page.mediabox[2:]] == pytest.approx(
                wanted[size], abs=0.01
            )


@pytest.mark.parametrize("size", [PosterSize.POSTER, PosterSize.A1])
def test_the_main_text_of_a_wall_chart_reads_from_6_ft(
    charts: dict[PosterSize, Document], size: PosterSize
) -> None:
    """Capitals of 1/300 of 6 ft are 0.24 in (ANSI Z535.2-2011, 9.2.3, second-hand); no note is
    below the smallest suggested type, 0.16 in."""
    text = large_letters(charts[size], 6 * 12 / 300 * INCH)
    for wanted in (
        "HV-101, King valve",
        "How to read a marker",
        "LTRS",
        "low temperature recirculated suction",
        "crossover to the test stand (local)",
        "High pressure receiver",
        "FEU-1 to 3, 10",
        "Cutoff 70 psig",
        "above 70 psig",
        "Yellow: HSD",
        "Dark blue: LTRS*",
        "trace the line to both ends",
    ):
        assert squeezed(wanted) in text, (wanted, text)
    everything = all_letters(charts[size])
    assert large_letters(charts[size], 0.16 * INCH) == everything


def test_a_letter_copy_says_that_it_is_for_the_desk(charts: dict[PosterSize, Document]) -> None:
    text = all_letters(charts[PosterSize.LETTER])
    assert squeezed("DESK COPY: main text legible to") in text
    assert "DESKCOPY" not in all_letters(charts[PosterSize.POSTER])


@pytest.mark.slow
@pytest.mark.tools
def test_a_chart_can_be_read(charts: dict[PosterSize, Document]) -> None:
    text = words(pdf.write(charts[PosterSize.LETTER]), 1)
    for wanted in (
        "Emergency valves",
        "King valve",
        "How to read a marker",
        "Service",
        "Contents",
        "Abbreviations in use",
        "high stage discharge",
        "Equipment of this plant",
        "Convention of this plant",
        "DESK COPY",
    ):
        assert wanted in text, (wanted, text)


def test_emergency_valves_come_first(charts: dict[PosterSize, Document]) -> None:
    for document in charts.values():
        text = letters(document.pages[0])
        first = text.index("HV-101,Kingvalve")
        assert text.index("Emergencyvalves") < first < text.index("Howtoreadamarker")
        assert squeezed("normally open, P&ID") in text
        assert "HV-100" not in text  # a valve that is for no emergency stands on the schedule


def test_a_plant_without_emergency_valves_is_told_so() -> None:
    item = {"spec": pipe(service="HPL", pressure="9 psig", pipe="NPS 2"), "positions": [{}]}
    text = all_letters(drawn(plant(items=[item])))
    assert squeezed("is marked as an emergency valve") in text


def test_only_what_the_plant_uses_is_there(made: Plant, charts: dict[PosterSize, Document]) -> None:
    text = all_letters(charts[PosterSize.POSTER])
    known = made.schemes[made.order.scheme].services
    assert "LIC" in known
    assert squeezed(known["LIC"].meaning) not in text
    assert squeezed(known["HSD"].meaning) in text


def test_a_wall_chart_holds_edition_cutoff_and_revision_and_leaves_the_rest_to_the_proof(
    made: Plant, charts: dict[PosterSize, Document]
) -> None:
    scheme = made.schemes[made.order.scheme]
    for document in charts.values():
        text = all_letters(document)
        assert "Notseen" not in text
        assert "Prescribedpairs" not in text
        assert "claimsnoconformity" in text
        assert squeezed("Other plants may mark differently") in text
        assert squeezed(f"Pressure cutoff {scheme.cutoff_psig:g} psig") in text
        assert f"edition{scheme.edition}" in text
        assert "revisionD" in text
        assert "NorthpointColdWorks" in text


def test_the_specimen_shows_both_state_bands(
    made: Plant, charts: dict[PosterSize, Document]
) -> None:
    """LTRS is liquid and vapor; no other line of this plant has both bands."""
    wanted = next(m for m in made.markers if m.plan.name == "LTRS")
    first = charts[PosterSize.POSTER].pages[0]
    placed = [item.symbol for item in first.layers[0].items if isinstance(item, Placement)]
    assert f"face-{wanted.face.id}" in placed


def test_formulas_keep_their_capitals_and_a_missing_plant_is_asked_for() -> None:
    machine = {"kind": "equipment", "name": "CO2 recirculator", "tag": "CR-1"}
    shouted = {"kind": "equipment", "name": "OIL SEPARATOR", "tag": "OS-1"}
    items = [{"spec": spec, "positions": [{}]} for spec in (machine, shouted)]
    text = all_letters(drawn(plant(items=items, plant="", title="list_3")))
    assert squeezed("CO2 recirculator") in text
    assert squeezed("Oil separator") in text
    assert squeezed("give plant and revision") in text


def test_the_specimen_is_drawn_once_and_large(
    made: Plant, charts: dict[PosterSize, Document]
) -> None:
    for document in charts.values():
        faces = [
            item
            for layer in document.pages[0].layers
            for item in layer.items
            if isinstance(item, Placement) and item.symbol.startswith("face-")
        ]
        assert len(faces) == 1
        wide = document.symbols[faces[0].symbol].bounds.width * faces[0].at.a
        assert 0.5 * document.pages[0].size.width < wide < document.pages[0].size.width


def test_each_scheme_in_use_is_named() -> None:
    a13 = {"contents": "City water", "scheme": "asme-a13-1", "service": ""}
    ammonia = {"spec": pipe(service="HPL", state="liquid", pressure="181 psig", pipe="NPS 2")}
    water = {"spec": pipe(**a13, pipe="NPS 2")}
    place: dict[str, object] = {"positions": [{}]}
    items = [ammonia | place, water | place]
    text = all_letters(drawn(plant(items=items, with_schemes=("asme-a13-1",))))
    for key in ("ammonia-2014", "asme-a13-1"):
        assert squeezed(load_scheme(key).title) in text
    assert "CITYWATER" in text


def test_nothing_leaves_the_sheet(charts: dict[PosterSize, Document]) -> None:
    for document in charts.values():
        for page in document.pages:
            inner = Rect(0.0, 0.0, page.size.width, page.size.height).grown(-0.03 * page.size.width)
            for item in page.layers[0].items:
                if isinstance(item, Placement):
                    box = item.at.rect(document.symbols[item.symbol].bounds)
                else:
                    box = item.path.bounds()
                assert inner.contains(box), (page.id, item)


def test_charts_pass_the_inspection_of_papers_and_stay_the_same(
    made: Plant, charts: dict[PosterSize, Document]
) -> None:
    for size, document in charts.items():
        file = pdf.write(document)
        points = inspect(file, rules=PAPERS).points
        assert {point.verdict for point in points} <= {Verdict.PASS, Verdict.NOTE}
        assert file == pdf.write(drawn(made, size))
        assert b"CreationDate" not in file
    assert drawn(made, date="2026-02-03").date == "2026-02-03"
    assert "2026-02-03" in all_letters(drawn(made, date="2026-02-03"))


@pytest.mark.parametrize(("share", "machines", "valves"), [(1, 60, 40), (2, 12, 7), (30, 0, 0)])
def test_whatever_is_in_use_is_on_the_chart(share: int, machines: int, valves: int) -> None:
    """Abbreviations, machines and emergency valves: none lost, however many sheets it takes."""
    services = load_scheme("ammonia-2014").services
    codes = sorted(services)[::share]
    lines = [
        pipe(service=code, pressure="9 psig", pipe="NPS 2")
        | ({} if services[code].one_way else {"flow": "none"})
        for code in codes
    ]
    tags = [f"M{chr(65 + n % 26)}{chr(65 + n // 26)}-{n}" for n in range(machines)]
    specs = [
        *lines,
        *({"kind": "equipment", "tag": tag, "name": "Machine"} for tag in tags),
        *({"kind": "valve", "tag": f"XV-{n}Z", "emergency": True} for n in range(valves)),
    ]
    made = plant(items=[{"spec": spec, "positions": [{"area": "A"}]} for spec in specs])
    text = all_letters(drawn(made))
    assert [code for code in codes if squeezed(code + services[code].meaning) not in text] == []
    assert [tag for tag in tags if tag not in text] == []
    assert [n for n in range(min(valves, 30)) if f"XV-{n}Z" not in text] == []
    assert (squeezed(f"and {valves - 30} more: see the valve schedule") in text) == (valves > 30)


def test_an_unknown_size_is_refused(made: Plant) -> None:
    with pytest.raises(ValueError, match="A5"):
        chart(made.order, made.markers, (), made.schemes, made.typefaces, "A5")
