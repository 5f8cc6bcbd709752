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


def test_a_fault_in_a_form_is_seen_though_its_neighbors_look_alike() -> None:
    """Three forms of one pattern: in RGB is what only the last of them places."""
    found = [
        inspect(edited(write(sheet()), partial(_alike_forms, last=last)))
        for last in (b"Plain", b"Red", b"Dashed")
    ]
    assert {"color-rgb"} == found[1].codes - found[0].codes
    assert found[0].codes == found[2].codes - {"line-thin"} != found[2].codes
    thin = next(each.what for each in found[2].points if each.code == "line-thin")
    assert thin.startswith("1 line ")


def test_what_forms_that_look_alike_paint_is_counted_in_each() -> None:
    """A hairline in each of three forms, at points of their own."""
    report = inspect(edited(write(sheet()), partial(_alike_forms, last=b"Plain", thin=True)))
    thin = next(each.what for each in report.points if each.code == "line-thin")
    assert thin.startswith("3 lines ")


def _alike_forms(pdf: Pdf, last: bytes, thin: bool = False) -> None:
    """Forms that differ in points and in what they place, all with one set of resources."""
    gray = space_name(pdf.pages[0].obj, "Black").decode()
    inner = {
        "Plain": f"/{gray} cs 1 scn 0 0 m 9 0 l 9 9 l h f",
        "Red": "1 0 0 rg 0 0 m 9 0 l 9 9 l h f",
        "Dashed": f"/{gray} CS 1 SCN 1 w 0 0 m 9 0 l S",
    }
    resources = pdf.pages[0].obj["/Resources"]
    shared = pdf.make_indirect(Dictionary({"/ColorSpace": resources["/ColorSpace"]}))
    shared["/XObject"] = Dictionary(
        {f"/{name}": _with(_form(pdf, text), shared) for name, text in inner.items()}
    )
    line = f"/{gray} CS 1 SCN 1 w 0 0 m %d 0 l S" if thin else "0 0 m %d 0 l n"
    for number, name in enumerate(("Plain", "Plain", last.decode())):
        text = f"{line % (number + 5)}\nq 1 0 0 1 {number} 0 cm/{name} Do Q"
        resources["/XObject"][f"/Alike{number}"] = _with(_form(pdf, text), shared)
    stream = contents(pdf)[-1]
    placed = b"".join(b"\nq 1 0 0 1 50000 50000 cm/Alike%d Do Q" % number for number in range(3))
    stream.write(stream.read_bytes() + placed)


def _with(form: Object, resources: Object) -> Object:
    form["/Resources"] = resources
    return form
