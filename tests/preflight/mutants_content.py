"""Faults of what is painted: color, lettering, transparency, syntax."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pikepdf import Array, Dictionary, Name, Object, Pdf

from tests.helpers.pdf_system import PROFILES
from tests.preflight.edits import (
    add,
    contents,
    forms,
    image,
    put,
    resource,
    separation,
    space_name,
    swap,
)
from tests.preflight.mutants import Mutant

BOX = b" 0 0 10 10 re f"
AREA = b"q 0 0 1000 1000 re f Q"


def mutants() -> Iterator[Mutant]:
    yield from _rgb()
    yield from _spots()
    yield from _lettering_and_transparency()
    yield from _syntax()


def _in_form(text: bytes) -> Callable[[Pdf], None]:
    return lambda pdf: put(forms(pdf)[0], b"q " + text + b" Q")


def _on_page(text: bytes) -> Callable[[Pdf], None]:
    return lambda pdf: add(pdf, b"q " + text + b" Q")


def _with(kind: str, value: Callable[[Pdf], Object], text: bytes) -> Callable[[Pdf], None]:
    """Content that uses a new resource, named X, on the first page."""

    def edit(pdf: Pdf) -> None:
        resource(pdf.pages[0].obj, kind, "/X", value(pdf))
        add(pdf, b"q " + text + b" Q")

    return edit


def _rgb() -> Iterator[Mutant]:
    calibrated = Array([Name.CalRGB, Dictionary({"/WhitePoint": Array([0.9505, 1, 1.089])})])
    indexed = Array([Name.Indexed, Name.DeviceRGB, 0, b"\xff\x00\x00"])
    yield Mutant("rgb in a form", "color-rgb", edit=_in_form(b"1 0 0 rg" + BOX))
    yield Mutant(
        "rgb in a form, claimed", "color-rgb", edit=_in_form(b"1 0 0 rg" + BOX), claims=True
    )
    yield Mutant("rgb line", "color-rgb", edit=_on_page(b"9000 w 1 0 0 RG 0 0 m 9 9 l S"))
    yield Mutant("rgb by name", "color-rgb", edit=_on_page(b"/DeviceRGB cs 1 0 0 sc" + BOX))
    yield Mutant(
        "calibrated rgb",
        "color-rgb",
        edit=_with("/ColorSpace", lambda _: calibrated, b"/X cs 1 0 0 sc" + BOX),
    )
    yield Mutant(
        "rgb by profile", "color-rgb", edit=_with("/ColorSpace", _icc, b"/X cs 1 0 0 scn" + BOX)
    )
    yield Mutant(
        "rgb by index",
        "color-rgb",
        edit=_with("/ColorSpace", lambda _: indexed, b"/X cs 0 sc" + BOX),
    )
    yield Mutant(
        "rgb image",
        "color-rgb",
        edit=_with("/XObject", lambda pdf: image(pdf, Name.DeviceRGB, 3), b"/X Do"),
    )
    yield Mutant(
        "rgb in the content",
        "color-rgb",
        edit=_on_page(b"BI /W 1 /H 1 /BPC 8 /CS /RGB ID \x01\x02\x03 EI"),
    )
    yield Mutant(
        "rgb pattern", "color-rgb", edit=_with("/Pattern", _tiling, b"/Pattern cs /X scn" + BOX)
    )
    yield Mutant("rgb shading", "color-rgb", edit=_with("/Shading", lambda _: _shading(), b"/X sh"))
    yield Mutant(
        "rgb shading pattern",
        "color-rgb",
        edit=_with(
            "/Pattern",
            lambda _: Dictionary({"/PatternType": 2, "/Shading": _shading()}),
            b"/Pattern cs /X scn" + BOX,
        ),
    )
    yield Mutant("rgb in a nested form", "color-rgb", edit=_with("/XObject", _nested, b"/X Do"))
    yield Mutant("cmyk by profile, overprinting", "color-icc", edit=_icc_overprint)
    yield Mutant(
        "nameless space",
        "color-unknown",
        edit=_with("/ColorSpace", lambda _: Array([Name.Mystery, 1]), b"/X cs 1 scn" + BOX),
    )


def _spots() -> Iterator[Mutant]:
    yield Mutant(
        "two colors of an ink",
        "spot-definition",
        edit=_with(
            "/ColorSpace",
            lambda _: separation("Safety#20Orange".replace("#20", " ")),
            b"/X cs 1 scn" + BOX,
        ),
    )
    yield Mutant(
        "two colors, one not painted",
        "spot-definition",
        edit=lambda pdf: resource(
            pdf.pages[0].obj, "/ColorSpace", "/X", pdf.make_indirect(separation("Safety Red"))
        ),
    )
    yield Mutant(
        "another alternate",
        "spot-definition",
        edit=_with("/ColorSpace", lambda _: _cmyk_alternate(), b"/X cs 1 scn" + BOX),
    )
    yield Mutant(
        "on all plates",
        "spot-all",
        edit=_with("/ColorSpace", lambda _: separation("All"), b"/X cs 1 scn" + BOX),
    )
    yield Mutant(
        "capitals differ",
        "spot-names",
        edit=_with("/ColorSpace", lambda _: separation("safety orange"), b"/X cs 1 scn" + BOX),
    )
    yield Mutant(
        "a blank differs",
        "spot-names",
        edit=_with("/ColorSpace", lambda _: separation("SafetyOrange"), b"/X cs 1 scn" + BOX),
    )
    yield Mutant(
        "mixture undefined",
        "spot-colorants",
        edit=_with("/ColorSpace", _mixture, b"/X cs 1 1 scn" + BOX),
        claims=True,
    )
    over = Dictionary({"/OP": True, "/op": True, "/OPM": 1})
    for name, white in (("cmyk", b"0 0 0 0 k"), ("gray", b"1 g")):
        yield Mutant(
            f"white in {name} overprints",
            "white-overprint",
            edit=_with("/ExtGState", lambda _: over, b"/X gs " + white + BOX),
            claims=True,
        )
    yield Mutant("ink without end", "ink-limit", edit=_on_page(b"1 1 1 1 k" + BOX), claims=True)
    yield Mutant(
        "ink just over the limit",
        "ink-limit",
        edit=_on_page(b"1 1 1 .21 k" + BOX),
        claims=True,
    )
    for name, width in (("hair", b"0"), ("a tenth of a point, nearly", b"352")):
        yield Mutant(
            f"line of {name}",
            "line-thin",
            edit=_on_page(width + b" w 0 0 0 1 K 0 0 m 9000 9 l S"),
            claims=True,
        )
    yield Mutant("white overprints", "white-overprint", edit=_white_overprints)
    yield Mutant(
        "white overprints, claimed", "white-overprint", edit=_white_overprints, claims=True
    )


def _lettering_and_transparency() -> Iterator[Mutant]:
    def state(**entries: object) -> Callable[[Pdf], None]:
        found = Dictionary({"/" + key: value for key, value in entries.items()})
        return _with("/ExtGState", lambda _: found, b"/X gs")

    mask = Dictionary({"/S": Name.Alpha, "/G": Dictionary()})
    yield Mutant("live font", "font-live", edit=_live_font)
    yield Mutant("live font in a step", "font-live", edit=_live_font_in_step)
    yield Mutant("half fill", "transparency", edit=state(ca=0.5))
    yield Mutant("half line", "transparency", edit=state(CA=0.5))
    yield Mutant("multiply", "transparency", edit=state(BM=Name.Multiply))
    yield Mutant("modes", "transparency", edit=state(BM=Array([Name.Darken, Name.Normal])))
    yield Mutant("soft mask", "transparency", edit=state(SMask=mask))
    yield Mutant("group", "transparency", edit=_group)
    yield Mutant(
        "page group",
        "transparency",
        edit=lambda pdf: pdf.pages[0].obj.__setitem__(
            "/Group", Dictionary({"/S": Name.Transparency})
        ),
    )
    yield Mutant(
        "image of an image server", "file-opi", edit=_image_with("/OPI", Dictionary()), claims=True
    )
    yield Mutant(
        "image with alternates",
        "image-alternates",
        edit=_image_with("/Alternates", Array()),
        claims=True,
    )
    yield Mutant(
        "image in the content in lzw",
        "image-lzw",
        edit=_on_page(b"BI /W 1 /H 1 /BPC 8 /CS /G /F /LZW ID \x80\x0b\x60\x50\x22 EI"),
        claims=True,
    )
    yield Mutant("masked image", "transparency", edit=_with("/XObject", _masked, b"/X Do"))
    yield Mutant(
        "transfer",
        "state-transfer",
        edit=state(TR=Dictionary({"/FunctionType": 2, "/Domain": Array([0, 1]), "/N": 1})),
    )
    yield Mutant(
        "transfer, second key", "state-transfer", edit=state(TR2=Array([Name.Identity] * 4))
    )
    yield Mutant("halftone phase", "state-transfer", edit=state(HTP=Array([0, 0])))


def _syntax() -> Iterator[Mutant]:
    yield Mutant("state left saved", "content-balance", edit=lambda pdf: add(pdf, b"q"))
    yield Mutant("state restored twice", "content-balance", edit=lambda pdf: add(pdf, b"Q"))
    yield Mutant(
        "marked content left open", "content-balance", edit=lambda pdf: add(pdf, b"/Span BMC")
    )
    yield Mutant("form left open", "content-balance", edit=lambda pdf: put(forms(pdf)[0], b"q"))
    yield Mutant("unknown operator", "content-operator", edit=_on_page(b"1 2 foo"))
    yield Mutant("one number too many", "content-syntax", edit=_on_page(b"1 2 3 m"))
    yield Mutant("too few numbers", "content-syntax", edit=_on_page(b"1 0 0 1 5 cm"))
    yield Mutant("symbol missing", "content-resource", edit=_on_page(b"/Nowhere Do"))
    yield Mutant("space missing", "content-resource", edit=_on_page(b"/Nowhere cs 1 scn" + BOX))
    yield Mutant("state missing", "content-resource", edit=_on_page(b"/Nowhere gs"))
    yield Mutant("layer missing", "content-resource", edit=_on_page(b"/OC /Nowhere BDC EMC"))
    yield Mutant("form in itself", "content-loop", edit=_loop)
    yield Mutant("postscript", "file-postscript", edit=_with("/XObject", _postscript, b"/X Do"))


def _icc(pdf: Pdf) -> Object:
    stream = pdf.make_stream((PROFILES / "srgb.icc").read_bytes())
    stream["/N"] = 3
    return Array([Name.ICCBased, stream])


def _icc_overprint(pdf: Pdf) -> None:
    stream = pdf.make_stream((PROFILES / "default_cmyk.icc").read_bytes())
    stream["/N"] = 4
    page = pdf.pages[0].obj
    resource(page, "/ColorSpace", "/X", Array([Name.ICCBased, stream]))
    resource(page, "/ExtGState", "/Y", Dictionary({"/op": True, "/OPM": 1}))
    add(pdf, b"q /Y gs /X cs 0 0 0 1 scn" + BOX + b" Q")


def _cmyk_alternate() -> Array:
    found = separation("Safety Orange", (0, 0.5, 1, 0))
    found[2] = Name.DeviceCMYK
    found[3]["/C0"] = Array([0, 0, 0, 0])
    return found


def _form(pdf: Pdf, text: bytes, resources: Dictionary | None = None) -> Object:
    stream = pdf.make_stream(text)
    stream["/Type"], stream["/Subtype"] = Name.XObject, Name.Form
    stream["/BBox"] = Array([0, 0, 100, 100])
    stream["/Resources"] = resources or Dictionary()
    return stream


def _nested(pdf: Pdf) -> Object:
    inner = _form(pdf, b"1 0 0 rg" + BOX)
    return _form(pdf, b"/I Do", Dictionary({"/XObject": Dictionary({"/I": inner})}))


def _tiling(pdf: Pdf) -> Object:
    stream = _form(pdf, b"1 0 0 rg" + BOX)
    for key, value in {
        "/PatternType": 1,
        "/PaintType": 1,
        "/TilingType": 1,
        "/XStep": 9,
        "/YStep": 9,
    }.items():
        stream[key] = value
    return stream


def _shading() -> Dictionary:
    ramp = Dictionary(
        {
            "/FunctionType": 2,
            "/Domain": Array([0, 1]),
            "/N": 1,
            "/C0": Array([0, 0, 0]),
            "/C1": Array([1, 1, 1]),
        }
    )
    return Dictionary(
        {
            "/ShadingType": 2,
            "/ColorSpace": Name.DeviceRGB,
            "/Coords": Array([0, 0, 9, 9]),
            "/Function": ramp,
        }
    )


def _image_with(key: str, value: Object) -> Callable[[Pdf], None]:
    def made(pdf: Pdf) -> Object:
        stream = image(pdf, Name.DeviceCMYK, 4)
        stream[key] = value
        return stream

    return _with("/XObject", made, b"/X Do")


def _mixture(pdf: Pdf) -> Array:
    """Two of the file's spots in one space that says nothing of either."""
    tint = pdf.make_stream(b"{pop pop 50 0 0}")
    for key, value in {
        "/FunctionType": 4,
        "/Domain": Array([0, 1, 0, 1]),
        "/Range": Array([0, 100, -128, 127, -128, 127]),
    }.items():
        tint[key] = value
    names = Array([Name("/Safety Orange"), Name("/Sky Blue")])
    return Array([Name.DeviceN, names, separation("Safety Orange")[2], tint])


def _white_overprints(pdf: Pdf) -> None:
    form = next(each for each in forms(pdf) if b" 0 scn" in each.read_bytes())
    swap(form, rb"/Kn gs\s+(/C\d+ cs 0 scn)", rb"/Ov gs \1")


def _live_font(pdf: Pdf) -> None:
    font = Dictionary({"/Type": Name.Font, "/Subtype": Name.Type1, "/BaseFont": Name.Helvetica})
    page = pdf.pages[0].obj
    resource(page, "/Font", "/F", font)
    ink = space_name(page, "Black")
    add(pdf, b"q BT /F 9 Tf " + ink + b" cs 1 scn 20 20 Td (HTRS) Tj ET Q")


def _live_font_in_step(pdf: Pdf) -> None:
    font = Dictionary({"/Type": Name.Font, "/Subtype": Name.Type1, "/BaseFont": Name.Helvetica})
    resource(pdf.pages[0].obj, "/Font", "/F", font)
    notes = next(each for each in contents(pdf) if b"/L3 BDC" in each.read_bytes())
    swap(notes, rb"\nQ EMC", rb"\nBT /F 9 Tf (note) Tj ET\nQ EMC")


def _group(pdf: Pdf) -> None:
    forms(pdf)[0]["/Group"] = Dictionary({"/S": Name.Transparency})


def _masked(pdf: Pdf) -> Object:
    stream = image(pdf, separation("Blue Film"), 1)
    stream["/SMask"] = image(pdf, Name.DeviceGray, 1)
    return stream


def _loop(pdf: Pdf) -> None:
    form = _form(pdf, b"/Me Do")
    form["/Resources"] = Dictionary({"/XObject": Dictionary({"/Me": form})})
    resource(pdf.pages[0].obj, "/XObject", "/X", form)
    add(pdf, b"q /X Do Q")


def _postscript(pdf: Pdf) -> Object:
    stream = pdf.make_stream(b"showpage")
    stream["/Type"], stream["/Subtype"] = Name.XObject, Name.PS
    return stream
