"""The objects of the file: pages, forms, color spaces, layers, metadata. pikepdf holds them."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from io import BytesIO
from itertools import pairwise

from pikepdf import (
    Array,
    Dictionary,
    Name,
    Object,
    ObjectStreamMode,
    Pdf,
    StreamDecodeLevel,
    String,
)
from pikepdf import Page as PdfPage
from pikepdf import Stream as PdfStream

from layouts.drawing import Rect
from layouts.drawing.document import Page, Step
from render.color.profile import OutputProfile
from render.files.numbers import plain
from render.write.pdf import xmp
from render.write.pdf.content import (
    KNOCKOUT,
    OVERPRINT,
    PAGE_STEPS_PER_MM,
    UNDER,
    Needs,
    Stream,
    SymbolForm,
)
from render.write.pdf.embedding import UsedFont
from render.write.pdf.separations import Plate, Plates

PT_PER_MM = 72 / 25.4
_SYMBOLIC = 4  # flag of a font that is read by glyph numbers
_LEVEL = 1  # of zlib: six times as fast as the default on coordinates, a tenth larger
_D50 = (0.9642, 1, 0.8249)
_LAB_RANGE = (-128, 127, -128, 127)

_STATES = {
    KNOCKOUT: {"/OP": False, "/op": False, "/OPM": 0},
    OVERPRINT: {"/OP": True, "/op": True, "/OPM": 1},
    UNDER: {"/OP": True, "/op": True, "/OPM": 0},
}


class File:
    """A PDF under construction: the layers of pages, plates, symbols and groups, then pages."""

    def __init__(self, about: xmp.Facts) -> None:
        self._pdf = Pdf.new()
        self._about = about
        self._spaces: dict[str, Object] = {}
        self._states = {
            name: self._pdf.make_indirect(Dictionary({"/Type": Name.ExtGState, **values}))
            for name, values in _STATES.items()
        }
        self._symbols: dict[str, tuple[Object, Needs]] = {}
        self._fonts: dict[str, Object] = {}
        self._titles: list[str] = []
        self._groups: dict[str, Object] = {}
        self._shared: dict[tuple[str, ...], Object] = {}

    def plates(self, plates: Plates) -> None:
        """Add the color spaces of all plates."""
        self._spaces = self._separations(plates)

    def layer(self, stream: Stream) -> Object:
        """Add what a layer draws, for one page or for several."""
        return self._stream(stream.data, {})

    def fonts(self, used: Iterable[tuple[str, UsedFont]]) -> None:
        """Embed fonts under their resource names."""
        for name, font in used:
            self._fonts[name] = self._font(font)

    def _font(self, font: UsedFont) -> Object:
        """A composite font by glyph numbers (ISO 32000-1, 9.7.4 and 9.8)."""
        data, name, em = font.data(), Name("/" + font.name()), font.file.em
        left, low, right, high = font.file.box
        described = {
            "/Type": Name.FontDescriptor,
            "/FontName": name,
            "/Flags": _SYMBOLIC,
            "/FontBBox": Array([left, low, right, high]),
            "/ItalicAngle": 0,
            "/Ascent": high,
            "/Descent": low,
            "/CapHeight": round(1000 / em),
            "/StemV": round(font.typeface.stem * 1000 / em),
            "/FontFile2": self._stream(data, {"/Length1": len(data)}),
        }
        widths = [each for index, width in font.widths() for each in (index, Array([width]))]
        system = {"/Registry": String("Adobe"), "/Ordering": String("Identity"), "/Supplement": 0}
        below = {
            "/Type": Name.Font,
            "/Subtype": Name.CIDFontType2,
            "/BaseFont": name,
            "/CIDSystemInfo": Dictionary(system),
            "/FontDescriptor": self._pdf.make_indirect(Dictionary(described)),
            "/W": Array(widths),
            "/CIDToGIDMap": Name.Identity,
        }
        keys = {
            "/Type": Name.Font,
            "/Subtype": Name.Type0,
            "/BaseFont": name,
            "/Encoding": Name("/Identity-H"),
            "/DescendantFonts": Array([self._pdf.make_indirect(Dictionary(below))]),
            "/ToUnicode": self._stream(font.characters(), {}),
        }
        return self._pdf.make_indirect(Dictionary(keys))

    def symbols(self, forms: Mapping[str, SymbolForm]) -> None:
        """Add symbols under their resource names.

        All symbols that place others share one dictionary of those others.
        """
        within = Needs()
        for form in forms.values():
            if form.body.needs.symbols:
                within.add(form.body.needs)
        for name, form in forms.items():
            if not form.body.needs.symbols:
                self._symbol(name, form, form.body.needs)
        for name, form in forms.items():
            if form.body.needs.symbols:
                self._symbol(name, form, within)

    def _symbol(self, name: str, form: SymbolForm, needs: Needs) -> None:
        step = _number(form.step)
        stream = self._stream(
            form.body.data,
            {
                "/Type": Name.XObject,
                "/Subtype": Name.Form,
                "/BBox": Array(form.box),
                "/Matrix": Array([step, 0, 0, step, 0, 0]),
                "/Resources": self._resources(needs, ()),
            },
        )
        self._symbols[name] = (stream, form.body.needs)

    def group(self, tag: str, title: str, step: Step) -> None:
        """Add the optional content group of a processing step."""
        meta = Dictionary({"/GTS_ProcStepsGroup": Name("/" + step.group)})
        if step.kind:
            meta["/GTS_ProcStepsType"] = Name("/" + step.kind)
        self._groups[tag] = self._pdf.make_indirect(
            Dictionary({"/Type": Name.OCG, "/Name": String(title), "/GTS_Metadata": meta})
        )

    def page(self, page: Page, layers: Sequence[tuple[Object, Needs]], tags: Sequence[str]) -> None:
        """Add a page that draws the layers in order; ``tags`` are the groups they use."""
        needs = Needs()
        for _, used in layers:
            needs.add(used)
        for name in tuple(needs.symbols):
            inner = self._symbols[name][1]
            needs.spaces |= inner.spaces
            needs.states |= inner.states
        boxes = _Boxes(page, PT_PER_MM)
        keys: dict[str, Object] = {
            "/Type": Name.Page,
            "/MediaBox": boxes.media,
            "/BleedBox": boxes.box(page.bleed),
            "/TrimBox": boxes.box(page.trim),
            "/Resources": self._resources(needs, tags),
            "/Contents": Array([self._once(boxes.head), *(layer for layer, _ in layers)]),
        }
        self._titles.append(page.title)
        self._pdf.pages.append(PdfPage(self._pdf.make_indirect(Dictionary(keys))))

    def intent(self, profile: OutputProfile) -> None:
        """Embed a printer profile as the output intent."""
        embedded = self._stream(profile.data, {"/N": profile.channels})
        keys = {
            "/Type": Name.OutputIntent,
            "/S": Name.GTS_PDFX,
            "/OutputConditionIdentifier": String(profile.condition),
            "/Info": String(profile.condition),
            "/DestOutputProfile": embedded,
        }
        if profile.is_registered:
            keys["/RegistryName"] = String("http://www.color.org")
        self._pdf.Root["/OutputIntents"] = Array([Dictionary(keys)])

    def keep_size(self) -> None:
        """Ask viewers not to scale the pages when they print (ISO 32000-1, 12.2)."""
        self._pdf.Root["/ViewerPreferences"] = Dictionary({"/PrintScaling": Name("/None")})

    def save(self) -> bytes:
        """The file's bytes: no object streams, no clock, an identifier from the content."""
        self._describe()
        self._optional_content()
        if self._fonts:
            self._for_readers()
        target = BytesIO()
        self._pdf.save(
            target,
            force_version="1.6",
            fix_metadata_version=False,
            object_stream_mode=ObjectStreamMode.disable,
            compress_streams=False,
            stream_decode_level=StreamDecodeLevel.none,
            deterministic_id=True,
        )
        return target.getvalue()

    def _separations(self, plates: Plates) -> dict[str, Object]:
        white = Dictionary({"/WhitePoint": Array(map(_number, _D50)), "/Range": Array(_LAB_RANGE)})
        lab = self._pdf.make_indirect(Array([Name.Lab, white]))
        return {plate.resource: self._separation(plate, lab) for plate in plates}

    def _separation(self, plate: Plate, lab: Object) -> Object:
        full = (plate.lab.lightness, plate.lab.a, plate.lab.b)
        tint = Dictionary(
            {
                "/FunctionType": 2,
                "/Domain": Array([0, 1]),
                "/N": 1,
                "/C0": Array([100, 0, 0]),
                "/C1": Array([_number(value) for value in full]),
            }
        )
        return self._pdf.make_indirect(
            Array([Name.Separation, Name("/" + plate.name), lab, self._pdf.make_indirect(tint)])
        )

    def _resources(self, needs: Needs, tags: Sequence[str]) -> Object:
        """A resource dictionary of what is used, one object for all with equal needs."""
        kinds: dict[str, dict[str, Object]] = {
            "/ColorSpace": {name: self._spaces[name] for name in sorted(needs.spaces)},
            "/ExtGState": {name: self._states[name] for name in sorted(needs.states)},
            "/Font": {name: self._fonts[name] for name in sorted(needs.fonts)},
            "/XObject": {name: self._symbols[name][0] for name in sorted(needs.symbols)},
            "/Properties": {tag: self._groups[tag] for tag in sorted(set(tags))},
        }
        key = tuple(name for entries in kinds.values() for name in entries)
        known = self._shared.get(key)
        if known is None:
            content = {
                kind: Dictionary({"/" + name: value for name, value in entries.items()})
                for kind, entries in kinds.items()
                if entries
            }
            known = self._shared[key] = self._pdf.make_indirect(Dictionary(content))
        return known

    def _once(self, text: str) -> Object:
        """A short stream, one object for all uses of the same content."""
        known = self._shared.get((text,))
        if known is None:
            known = self._shared[(text,)] = self._pdf.make_stream(text.encode("ascii"))
        return known

    def _stream(self, data: bytes, keys: dict[str, Object | Name | int]) -> Object:
        packed = zlib.compress(data, _LEVEL)
        return self._pdf.make_indirect(
            PdfStream(self._pdf, packed, Dictionary({**keys, "/Filter": Name.FlateDecode}))
        )

    def _optional_content(self) -> None:
        if not self._groups:
            return
        groups = [self._groups[tag] for tag in self._groups]
        self._pdf.Root["/OCProperties"] = Dictionary(
            {
                "/OCGs": Array(groups),
                "/D": Dictionary({"/Name": String("Processing steps"), "/Order": Array(groups)}),
            }
        )

    def _for_readers(self) -> None:
        """Set the viewer data of papers with text: language, title and a bookmark per page."""
        root = self._pdf.Root
        root["/Lang"] = String("en-US")
        wishes = root.get("/ViewerPreferences", Dictionary())
        wishes["/DisplayDocTitle"] = True
        root["/ViewerPreferences"] = wishes
        if len(self._titles) < 2:
            return
        outlines = self._pdf.make_indirect(Dictionary({"/Type": Name.Outlines}))
        marks = [
            self._pdf.make_indirect(
                Dictionary(
                    {
                        "/Title": String(title),
                        "/Parent": outlines,
                        "/Dest": Array([page.obj, Name.Fit]),
                    }
                )
            )
            for title, page in zip(self._titles, self._pdf.pages, strict=True)
        ]
        for one, other in pairwise(marks):
            one["/Next"], other["/Prev"] = other, one
        outlines["/First"], outlines["/Last"], outlines["/Count"] = marks[0], marks[-1], len(marks)
        root["/Outlines"] = outlines

    def _describe(self) -> None:
        """Write metadata packet and information dictionary with the same values."""
        about = self._about
        self._pdf.Root["/Metadata"] = self._pdf.make_stream(
            xmp.packet(about), {"/Type": Name.Metadata, "/Subtype": Name.XML}
        )
        info = {
            "/Title": String(about.title),
            "/Creator": String(xmp.PRODUCER),
            "/Producer": String(xmp.PRODUCER),
            "/Trapped": Name("/False"),
        }
        if about.date:
            info["/CreationDate"] = info["/ModDate"] = String(about.pdf_date)
        self._pdf.trailer["/Info"] = self._pdf.make_indirect(Dictionary(info))


class _Boxes:
    """The boxes of a page and the operator that converts steps, y down, to points, y up."""

    def __init__(self, page: Page, points_per_mm: float) -> None:
        self._scale = points_per_mm
        self._height = page.size.height
        self.media = self.box(Rect(0, 0, page.size.width, page.size.height))
        step = plain(points_per_mm / PAGE_STEPS_PER_MM, 15)
        self.head = f"{step} 0 0 -{step} 0 {plain(page.size.height * points_per_mm)} cm"

    def box(self, rect: Rect) -> Array:
        """A box in points, corners lower left and upper right."""
        return Array(
            _number(value * self._scale)
            for value in (rect.x, self._height - rect.bottom, rect.right, self._height - rect.y)
        )


@lru_cache(maxsize=4096)
def _number(value: float) -> Decimal:
    """A number for an object, to four places, without a trailing zero."""
    return Decimal(plain(value))
