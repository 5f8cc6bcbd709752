"""What looks odd in a PDF/X-4 file and is allowed: each passes, under either set of rules.

What ISO 15930-7 and ISO 32000-1 say is cited from memory.
"""

from __future__ import annotations

from collections.abc import Callable

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Pdf, String

from render.preflight import STANDARD, Rules, Verdict, inspect
from render.preflight.claim import same_instant
from tests.preflight.edits import add, edited, group, layer, metadata, resource, separation, swap
from tests.preflight.mutants import base


def _intent(pdf: Pdf) -> pikepdf.Object:
    return pdf.Root["/OutputIntents"][0]


def _with_registry(pdf: Pdf) -> None:
    _intent(pdf)["/RegistryName"] = String("http://www.color.org")


def _registered_condition(pdf: Pdf) -> None:
    """Table 365: Info is for conditions that no registry lists; FOGRA39 is in the ICC's."""
    intent = _intent(pdf)
    intent["/OutputConditionIdentifier"] = String("FOGRA39")
    del intent["/Info"]


def _without_information(pdf: Pdf) -> None:
    del pdf.trailer["/Info"]


def _little_information(pdf: Pdf) -> None:
    for key in ("/Title", "/CreationDate", "/ModDate", "/Trapped"):
        del pdf.trailer["/Info"][key]


def _annotation_off_the_bleed(pdf: Pdf) -> None:
    note = Dictionary({"/Type": Name.Annot, "/Subtype": Name.Text, "/Rect": Array([0, 0, 20, 20])})
    pdf.pages[0].obj["/Annots"] = Array([pdf.make_indirect(note)])


def _press_mark(pdf: Pdf) -> None:
    mark = Dictionary({"/Subtype": Name.PrinterMark, "/Rect": Array([50, 50, 90, 90])})
    pdf.pages[0].obj["/Annots"] = Array([pdf.make_indirect(mark)])


def _same_time_elsewhere(pdf: Pdf) -> None:
    pdf.trailer["/Info"]["/CreationDate"] = String("D:20260331140000+01'00'")
    metadata(pdf, rb"(?<=CreateDate>)[^<]+", b"2026-03-31T13:00:00Z")


def _view(pdf: Pdf) -> None:
    pdf.Root["/OpenAction"] = Array([pdf.pages[0].obj, Name.Fit])


def _padded_profile(pdf: Pdf) -> None:
    found = _intent(pdf)["/DestOutputProfile"]
    found.write(found.read_bytes() + bytes(3))


def _profile_elsewhere(pdf: Pdf) -> None:
    """PDF/X-4p names its profile and leaves it out."""
    intent = _intent(pdf)
    del intent["/DestOutputProfile"]
    intent["/DestOutputProfileRef"] = Dictionary({"/ProfileCS": String("CMYK")})
    metadata(pdf, rb"PDF/X-4", b"PDF/X-4p")
    add(pdf, b"q 0 1 1 0 k 0 0 10 10 re f Q")


def _reference_in_x5(pdf: Pdf) -> None:
    metadata(pdf, rb"PDF/X-4", b"PDF/X-5g")
    form = next(
        each
        for each in pdf.objects
        if isinstance(each, pikepdf.Stream) and str(each.get("/Subtype")) == "/Form"
    )
    form["/Ref"] = Dictionary({"/F": String("other.pdf"), "/Page": 0})


def _mixture_defined(pdf: Pdf) -> None:
    spot = separation("New Ink")
    tint = pdf.make_stream(b"{pop 50 0 0}")
    for key, value in {
        "/FunctionType": 4,
        "/Domain": Array([0, 1, 0, 1]),
        "/Range": Array([0, 100, -128, 127, -128, 127]),
    }.items():
        tint[key] = value
    inks = Array([Name("/New Ink"), Name.Black])
    attributes = Dictionary({"/Colorants": Dictionary({"/New Ink": spot})})
    resource(
        pdf.pages[0].obj,
        "/ColorSpace",
        "/X",
        Array([Name.DeviceN, inks, spot[2], tint, attributes]),
    )
    add(pdf, b"q /X cs 1 1 scn 0 0 10 10 re f Q")


def _calm_states(pdf: Pdf) -> None:
    """White that knocks out, 320 % of ink, a line of 0.15 pt."""
    add(pdf, b"q 0 0 0 0 k 0 0 9 9 re f 1 g 0 0 9 9 re f 1 1 1 .2 k 0 0 9 9 re f Q")
    add(pdf, b"q 354 w 0 0 0 1 K 0 0 m 9000 9 l S Q")


def _empty_stream(pdf: Pdf) -> None:
    stream = pdf.make_stream(b"")
    stream.write(b"", filter=Name.FlateDecode)
    pdf.pages[0].obj["/Contents"].append(stream)


def _white_overprints(pdf: Pdf) -> None:
    group(pdf, "Notes")["/GTS_Metadata"] = Dictionary({"/GTS_ProcStepsGroup": Name.White})


ODDITIES = [
    _with_registry,
    _registered_condition,
    _without_information,
    _little_information,
    _annotation_off_the_bleed,
    _press_mark,
    _same_time_elsewhere,
    _view,
    _padded_profile,
    _profile_elsewhere,
    _reference_in_x5,
    _mixture_defined,
    _calm_states,
    _empty_stream,
    _white_overprints,
]


@pytest.mark.parametrize("edit", ODDITIES, ids=lambda edit: edit.__name__.strip("_"))
def test_what_is_allowed_passes(edit: Callable[[Pdf], None]) -> None:
    data = edited(base(True), edit)
    assert inspect(data).failures == ()
    assert inspect(data, rules=STANDARD).failures == ()


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2026-03-31T13:00:00Z", "D:20260331130000Z", True),
        ("2026-03-31T13:00:00Z", "D:20260331140000+01'00'", True),
        ("2026-01-01T00:30:00+01:00", "D:20251231183000-05'00'", True),
        ("2026-03-31T13:00:00Z", "D:20260331130000+01'00'", False),
        ("2026-03-31T13:00", "D:20260331130000+01'00'", True),  # no zone: the other's
        ("2026-03-31", "D:20260331", True),
        ("2026-03-31", "D:20260331235900Z", True),
        ("2026-03-31", "D:20260401", False),
        ("2026", "D:2025", False),
        ("2026-03-31T13:00:00Z", "D:20260331130100Z", False),
    ],
)
def test_dates_mean_the_same_minute(one: str, other: str, same: bool) -> None:
    assert same_instant(one, other) is same
    assert same_instant(other, one) is same


def test_house_rules_are_warnings_under_the_standard_and_faults_of_the_standard_are_not() -> None:
    def widen(pdf: Pdf) -> None:
        swap(layer(pdf, "Kiss cut"), rb"\d+ w", b"3528 w")

    data = edited(base(True), widen)
    house, standard = inspect(data), inspect(data, rules=STANDARD)
    assert house.codes == {"cut-width"}
    assert standard.verdict is Verdict.PASS
    (point,) = [point for point in standard.points if point.code == "cut-width"]
    assert (point.verdict, point.house) == (Verdict.WARNING, True)

    def untitled(pdf: Pdf) -> None:
        metadata(pdf, rb"<dc:title>.*?</dc:title>", b"")

    assert inspect(edited(base(True), untitled), rules=STANDARD).codes == {"claim-title"}


@pytest.mark.parametrize(("limit", "codes"), [(279.0, {"ink-limit"}), (280.0, set())])
def test_the_ink_limit_can_be_set(limit: float, codes: set[str]) -> None:
    data = edited(base(True), lambda pdf: add(pdf, b"q 1 1 .8 0 k 0 0 9 9 re f Q"))
    assert inspect(data, rules=Rules(ink_limit=limit)).codes == codes
