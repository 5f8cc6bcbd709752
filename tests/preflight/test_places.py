"""Where marks lie, in forms within forms: a place that can matter is looked at every time."""

from __future__ import annotations

from functools import partial

from pikepdf import Dictionary, Name, Object, Pdf

from render.preflight import inspect
from render.preflight.marks import Contour, Ring
from render.write.pdf import write
from tests.helpers.pdf_samples import sheet
from tests.preflight.edits import contents, edited, group, space_name


def test_a_cut_line_in_a_form_within_a_form_is_seen_at_every_place() -> None:
    """The outer form has no layers of its own, and only its second place is off the page."""
    good = write(sheet())
    on_page = b"q 1 0 0 1 50000 50000 cm/Outer Do Q"
    off_page = on_page + b"\nq 1 0 0 1 -90000000 50000 cm/Outer Do Q"
    codes = [
        inspect(edited(good, partial(_cut_in_forms, placed=where))).codes
        for where in (on_page, off_page)
    ]
    assert codes[1] - codes[0] == {"cut-outside"}


def test_boxes_and_points_of_a_contour_lie_where_it_is_placed() -> None:
    ring = Ring.through([(0.0, 0.0), (3.0, 1.0), (2.0, 5.0)])
    assert ring.box == (0.0, 0.0, 3.0, 5.0)
    for at in (
        (2.0, 0.0, 0.0, -1.0, 7.0, 9.0),
        (0.0, 1.0, -1.0, 0.0, 4.0, 0.0),
        (1, 1, -1, 1, 0, 0),
    ):
        placed = Contour(ring, True, at)
        xs, ys = zip(*placed.points(), strict=True)
        assert placed.box() == (min(xs), min(ys), max(xs), max(ys))
        assert (placed.start, placed.end) == (placed.points()[0], placed.points()[-1])


def _cut_in_forms(pdf: Pdf, placed: bytes) -> None:
    resources = pdf.pages[0].obj["/Resources"]
    space = space_name(pdf.pages[0].obj, "PartialCutting").decode()
    inner = _form(pdf, f"/OC /Cut BDC /Ov gs /{space} CS 1 SCN 353 w 0 0 m 9 0 l 9 9 l h S EMC")
    inner["/Resources"] = Dictionary(
        {
            "/Properties": Dictionary({"/Cut": group(pdf, "Kiss cut")}),
            "/ColorSpace": resources["/ColorSpace"],
            "/ExtGState": resources["/ExtGState"],
        }
    )
    outer = _form(pdf, "/Inner Do")
    outer["/Resources"] = Dictionary({"/XObject": Dictionary({"/Inner": inner})})
    resources["/XObject"]["/Outer"] = outer
    stream = contents(pdf)[-1]
    stream.write(stream.read_bytes() + b"\n" + placed)


def _form(pdf: Pdf, content: str) -> Object:
    return pdf.make_stream(
        content.encode(), {"/Type": Name.XObject, "/Subtype": Name.Form, "/BBox": [0, 0, 9, 9]}
    )
