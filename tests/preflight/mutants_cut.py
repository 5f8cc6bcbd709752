"""Faults of processing steps: their inks, their lines, their contours."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pikepdf import Array, Dictionary, Name, Pdf

from tests.preflight.edits import contents, group, layer, resource, separation, space_name, swap
from tests.preflight.mutants import Mutant

INK = rb"/C\d+ CS 1 SCN"


def mutants() -> Iterator[Mutant]:
    yield from _inks()
    yield from _lines()
    yield from _contours()


def _change(title: str, old: bytes, new: bytes, count: int = 0) -> Callable[[Pdf], None]:
    return lambda pdf: swap(layer(pdf, title), old, new, count)


def _inks() -> Iterator[Mutant]:
    for name, color in (("cmyk", b"0 1 0 0 K"), ("rgb", b"1 0 0 RG"), ("gray", b"0 G")):
        yield Mutant(f"cut in {name}", "cut-ink", edit=_change("Kiss cut", INK, color))
    yield Mutant(
        "cut in cmyk, claimed", "cut-ink", edit=_change("Kiss cut", INK, b"0 1 0 0 K"), claims=True
    )
    yield Mutant("hole in black", "cut-ink", edit=lambda pdf: _paint_in(pdf, "Holes", "Black"))
    yield Mutant(
        "one contour in cmyk",
        "cut-ink",
        edit=_change("Kiss cut", rb"S Q\nq", rb"S Q\n0 1 0 0 K\nq", 1),
    )
    yield Mutant("cut in two inks", "cut-ink", edit=_second_ink)
    yield Mutant("cut in two inks at once", "cut-ink", edit=_device_n)
    yield Mutant(
        "cut in a printed ink",
        "step-shared",
        edit=lambda pdf: _paint_in(pdf, "Through cut", "Safety Orange"),
    )
    yield Mutant(
        "two cuts in one ink",
        "step-shared",
        edit=lambda pdf: _paint_in(pdf, "Through cut", "PartialCutting"),
    )
    yield Mutant("print in a cut ink", "step-shared", edit=_print_in_cut_ink)
    yield Mutant("notes in gray", "step-ink", edit=_change("Notes", rb"/C\d+ cs 1 scn", b"0 g"))
    yield Mutant("marks in cmyk", "step-ink", edit=_change("Marks", INK, b"0 0 0 1 K"))


def _lines() -> Iterator[Mutant]:
    yield Mutant("kiss cut knocks out", "step-knockout", edit=_knock_out("Kiss cut"))
    yield Mutant("notes knock out", "step-knockout", edit=_knock_out("Notes"))
    yield Mutant("marks knock out, claimed", "step-knockout", edit=_knock_out("Marks"), claims=True)
    yield Mutant("white knocks out", "step-knockout", edit=_white_knocks_out)
    yield Mutant("half the ink", "cut-tint", edit=_change("Kiss cut", rb"CS 1 SCN", b"CS 0.5 SCN"))
    yield Mutant("wide line", "cut-width", edit=_change("Kiss cut", rb"\d+ w", b"3528 w"))
    yield Mutant("hairline", "cut-width", edit=_change("Holes", rb"\d+ w", b"0 w"))
    yield Mutant(
        "one wide contour", "cut-width", edit=_change("Kiss cut", rb"S Q\nq", rb"S Q\n3528 w\nq", 1)
    )
    yield Mutant(
        "wide by its matrix", "cut-width", edit=_change("Holes", rb"q 1 0 0 1", b"q 2 0 0 2", 1)
    )
    yield Mutant("dashed cut", "cut-dashed", edit=_change("Kiss cut", rb"\[\] 0 d", b"[9000] 0 d"))


def _contours() -> Iterator[Mutant]:
    yield Mutant("filled contour", "cut-filled", edit=lambda pdf: _fill(pdf, b"f"))
    yield Mutant("filled and stroked contour", "cut-filled", edit=lambda pdf: _fill(pdf, b"B"))
    yield Mutant("filled by even and odd", "cut-filled", edit=lambda pdf: _fill(pdf, b"f*"))
    yield Mutant("open contour", "cut-open", edit=_change("Kiss cut", rb"h\nS", b"S", 1))
    yield Mutant(
        "open contour, claimed",
        "cut-open",
        edit=_change("Kiss cut", rb"h\nS", b"S", 1),
        claims=True,
    )
    yield Mutant("open through cut", "cut-open", edit=_change("Through cut", rb"h\nS", b"S", 1))
    yield Mutant(
        "half a hole", "cut-open", edit=_change("Holes", rb"(?:[^\n]+ c\n){4}h\nS", b"S", 1)
    )
    yield Mutant("gap in a kiss cut", "cut-open", edit=_gap)
    yield Mutant(
        "off the page",
        "cut-outside",
        edit=_change("Holes", rb"q 1 0 0 1 \d+", b"q 1 0 0 1 -500000", 1),
    )
    yield Mutant(
        "cut twice", "cut-twice", edit=_change("Holes", rb"(q 1 0 0 1[^S]*S Q)", rb"\1\n\1", 1)
    )
    yield Mutant("cut twice, the other way round", "cut-twice", edit=_round_again)
    yield Mutant("cut placed by reference", "cut-placed", edit=_placed)


def _paint_in(pdf: Pdf, title: str, ink: str) -> None:
    page = pdf.pages[0].obj
    swap(layer(pdf, title), rb"/C\d+ CS", space_name(page, ink) + b" CS")


def _second_ink(pdf: Pdf) -> None:
    resource(pdf.pages[0].obj, "/ColorSpace", "/X", separation("Second"))
    swap(layer(pdf, "Kiss cut"), rb"S Q\nq", rb"S Q\n/X CS 1 SCN\nq", 1)


def _device_n(pdf: Pdf) -> None:
    found = separation("Unused")
    found[0], found[1] = Name.DeviceN, Array([Name.PartialCutting, Name.Second])
    found[3] = pdf.make_stream(b"{pop pop 50 0 0}")
    for key, value in {
        "/FunctionType": 4,
        "/Domain": Array([0, 1, 0, 1]),
        "/Range": Array([0, 100, -128, 127, -128, 127]),
    }.items():
        found[3][key] = value
    resource(pdf.pages[0].obj, "/ColorSpace", "/X", found)
    swap(layer(pdf, "Kiss cut"), INK, b"/X CS 1 1 SCN")


def _print_in_cut_ink(pdf: Pdf) -> None:
    slug = contents(pdf)[2]
    swap(slug, rb"/C\d+ cs", space_name(pdf.pages[0].obj, "Cutting") + b" cs")


def _knock_out(title: str) -> Callable[[Pdf], None]:
    def edit(pdf: Pdf) -> None:
        resource(pdf.pages[0].obj, "/ExtGState", "/X", Dictionary({"/OP": False, "/op": False}))
        swap(layer(pdf, title), rb"/Ov gs", b"/X gs")

    return edit


def _white_knocks_out(pdf: Pdf) -> None:
    """White counts as every other step does (ISO 19593-1, from memory)."""
    group(pdf, "Notes")["/GTS_Metadata"] = Dictionary({"/GTS_ProcStepsGroup": Name.White})
    _knock_out("Notes")(pdf)


def _fill(pdf: Pdf, operator: bytes) -> None:
    ink = space_name(pdf.pages[0].obj, "PartialCutting")
    stream = layer(pdf, "Kiss cut")
    swap(stream, INK, ink + b" CS 1 SCN " + ink + b" cs 1 scn")
    swap(stream, rb"h\nS", b"h\n" + operator, 1)


def _gap(pdf: Pdf) -> None:
    """A kiss cut that stops 2 mm before it closes: too short for an eye, too long for a knife."""
    swap(layer(pdf, "Kiss cut"), rb"h\nS", b"-20000 0 l\nS", 1)


def _placed(pdf: Pdf) -> None:
    page = pdf.pages[0].obj
    stream = layer(pdf, "Holes")
    body = stream.read_bytes()
    begin, _, rest = body.partition(b"\n")
    drawn, _, end = rest.rpartition(b"\n")
    form = pdf.make_stream(drawn)
    form["/Type"], form["/Subtype"] = Name.XObject, Name.Form
    form["/BBox"] = Array([0, 0, 9_000_000, 9_000_000])
    form["/Resources"] = Dictionary(
        {key: page["/Resources"][key] for key in ("/ColorSpace", "/ExtGState")}
    )
    resource(page, "/XObject", "/X", form)
    stream.write(begin + b"\n/X Do\n" + end)


def _round_again(pdf: Pdf) -> None:
    one = b"9000 9000 m 90000 9000 l 90000 90000 l h S"
    other = b"90000 9000 m 9000 9000 l 90000 90000 l h S"
    swap(layer(pdf, "Holes"), rb"\nQ EMC", b"\n" + one + b"\n" + other + b"\nQ EMC")
