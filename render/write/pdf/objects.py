"""The objects of a file: pages, forms, color spaces, fonts, layers, metadata."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from layouts.drawing import Rect
from layouts.drawing.document import Page, Step
from layouts.terms.values import frozen
from render.color.profile import OutputProfile
from render.files.numbers import plain
from render.write.pdf import xmp
from render.write.pdf.body import (
    Body,
    Value,
    array_object,
    dictionary_object,
    name_object,
    reference,
    text_string,
)
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
from render.write.pdf.separations import Plate

PT_PER_MM = 72 / 25.4
_SYMBOLIC = 4  # flag of a font that is read by glyph numbers
_LEVEL = 1  # of zlib: six times as fast as the default on coordinates, a tenth larger
_D50 = (0.9642, 1, 0.8249)
_LAB_RANGE = (-128, 127, -128, 127)

_STATES = {
    KNOCKOUT: "<< /Type /ExtGState /OP false /op false /OPM 0 >>",
    OVERPRINT: "<< /Type /ExtGState /OP true /op true /OPM 1 >>",
    UNDER: "<< /Type /ExtGState /OP true /op true /OPM 0 >>",
}

Entries: TypeAlias = dict[str, Value]


@frozen
class _Inner:
    """Color spaces and states that a form uses, one value for all forms that use the same."""

    spaces: frozenset[str]
    states: frozenset[str]


@dataclass(slots=True)
class _Within:
    """The one dictionary of resources for all forms that place others."""

    number: int
    needs: Needs = field(default_factory=Needs)


class File:
    """A PDF under construction: forms, layers and pages are written as they come.

    What has a resource name may be used before it is written.
    """

    def __init__(self, about: xmp.Facts) -> None:
        self._body = Body()
        self._about = about
        self._named: dict[str, int] = {}  # objects by their resource names
        self._once: dict[str, int] = {}  # resources, and short streams
        self._inner: dict[str, _Inner] = {}  # by form
        self._equal: dict[_Inner, _Inner] = {}
        self._within: _Within | None = None
        self._pages: list[tuple[int, str]] = []  # object and title of each
        self._groups: list[str] = []
        self._parent = self._body.reserve()
        self._root: Entries = {"Type": "/Catalog", "Pages": reference(self._parent)}
        self._wishes: Entries = {}

    def layer(self, stream: Stream) -> int:
        """Write what a layer draws, for one page or for several; the object's number."""
        return self._stream(stream.data, {})

    def symbol(self, name: str, form: SymbolForm) -> None:
        """Write a symbol under its resource name."""
        needs = form.body.needs
        inner = _Inner(frozenset(needs.spaces), frozenset(needs.states))
        self._inner[name] = self._equal.setdefault(inner, inner)
        step = plain(form.step)
        entries: Entries = {
            "Type": "/XObject",
            "Subtype": "/Form",
            "BBox": array_object(form.box),
            "Matrix": f"[{step} 0 0 {step} 0 0]",
            "Resources": reference(self._resources_of_form(needs)),
        }
        self._put_stream(self._number(name), form.body.data, entries)

    def _resources_of_form(self, needs: Needs) -> int:
        """All symbols that place others share one dictionary, which is written last."""
        if not needs.symbols:
            return self._resources(needs, ())
        if self._within is None:
            self._within = _Within(self._body.reserve())
        self._within.needs.add(needs)
        return self._within.number

    def page(self, page: Page, layers: Sequence[tuple[int, Needs]], tags: Sequence[str]) -> None:
        """Write a page that draws the layers in order; ``tags`` are the groups they use."""
        needs = Needs()
        for _, used in layers:
            needs.add(used)
        for inner in {id(each): each for each in map(self._inner.get, needs.symbols)}.values():
            if inner is not None:
                needs.spaces |= inner.spaces
                needs.states |= inner.states
        boxes = _Boxes(page, PT_PER_MM)
        contents = (self._short_stream(boxes.head), *(number for number, _ in layers))
        entries: Entries = {
            "Type": "/Page",
            "Parent": reference(self._parent),
            "MediaBox": boxes.media,
            "BleedBox": boxes.box(page.bleed),
            "TrimBox": boxes.box(page.trim),
            "Resources": reference(self._resources(needs, tags)),
            "Contents": array_object(map(reference, contents)),
        }
        self._pages.append((self._add(entries), page.title))

    def plates(self, plates: Iterable[Plate]) -> None:
        """Write the color spaces of all plates that are used."""
        white = {"WhitePoint": array_object(map(plain, _D50)), "Range": array_object(_LAB_RANGE)}
        lab = self._body.add(array_object(("/Lab", dictionary_object(white))))
        for plate in plates:
            if plate.resource in self._named:
                self._body.put(self._named[plate.resource], self._separation(plate, lab))

    def _separation(self, plate: Plate, lab: int) -> str:
        full = (plate.lab.lightness, plate.lab.a, plate.lab.b)
        tint: Entries = {
            "FunctionType": 2,
            "Domain": "[0 1]",
            "N": 1,
            "C0": "[100 0 0]",
            "C1": array_object(map(plain, full)),
        }
        name = name_object(plate.name)
        return array_object(("/Separation", name, reference(lab), reference(self._add(tint))))

    def fonts(self, used: Iterable[tuple[str, UsedFont]]) -> None:
        """Embed fonts under their resource names."""
        for name, font in used:
            self._body.put(self._number(name), dictionary_object(self._font(font)))

    def _font(self, font: UsedFont) -> Entries:
        """A composite font by glyph numbers (ISO 32000-1, 9.7.4 and 9.8)."""
        data, name, em = font.data(), name_object(font.name()), font.file.em
        _, low, _, high = font.file.box
        descriptor: Entries = {
            "Type": "/FontDescriptor",
            "FontName": name,
            "Flags": _SYMBOLIC,
            "FontBBox": array_object(font.file.box),
            "ItalicAngle": 0,
            "Ascent": high,
            "Descent": low,
            "CapHeight": round(1000 / em),
            "StemV": round(font.typeface.stem * 1000 / em),
            "FontFile2": reference(self._stream(data, {"Length1": len(data)})),
        }
        below: Entries = {
            "Type": "/Font",
            "Subtype": "/CIDFontType2",
            "BaseFont": name,
            "CIDSystemInfo": "<< /Registry (Adobe) /Ordering (Identity) /Supplement 0 >>",
            "FontDescriptor": reference(self._add(descriptor)),
            "W": array_object(f"{index} [{width}]" for index, width in font.widths()),
            "CIDToGIDMap": "/Identity",
        }
        return {
            "Type": "/Font",
            "Subtype": "/Type0",
            "BaseFont": name,
            "Encoding": "/Identity-H",
            "DescendantFonts": array_object((reference(self._add(below)),)),
            "ToUnicode": reference(self._stream(font.characters(), {})),
        }

    def group(self, tag: str, title: str, step: Step) -> None:
        """Write the optional content group of a processing step."""
        meta = {"GTS_ProcStepsGroup": name_object(step.group)}
        if step.kind:
            meta["GTS_ProcStepsType"] = name_object(step.kind)
        about = dictionary_object(meta)
        entries: Entries = {"Type": "/OCG", "Name": text_string(title), "GTS_Metadata": about}
        self._body.put(self._number(tag), dictionary_object(entries))
        self._groups.append(reference(self._number(tag)))

    def intent(self, profile: OutputProfile) -> None:
        """Embed a printer profile as the output intent."""
        entries: Entries = {
            "Type": "/OutputIntent",
            "S": "/GTS_PDFX",
            "OutputConditionIdentifier": text_string(profile.condition),
            "Info": text_string(profile.condition),
            "DestOutputProfile": reference(self._stream(profile.data, {"N": profile.channels})),
        }
        if profile.is_registered:
            entries["RegistryName"] = text_string("http://www.color.org")
        self._root["OutputIntents"] = array_object((dictionary_object(entries),))

    def keep_size(self) -> None:
        """Ask viewers not to scale the pages when they print (ISO 32000-1, 12.2)."""
        self._wishes["PrintScaling"] = "/None"

    def for_readers(self) -> None:
        """Set the viewer data of papers with text: language, title and a bookmark per page."""
        self._root["Lang"] = text_string("en-US")
        self._wishes["DisplayDocTitle"] = "true"
        if len(self._pages) > 1:
            self._root["Outlines"] = reference(self._bookmarks())

    def save(self) -> bytes:
        """The file's bytes: no object streams, no clock, an identifier from the content."""
        kids = array_object(reference(number) for number, _ in self._pages)
        parent: Entries = {"Type": "/Pages", "Count": len(self._pages), "Kids": kids}
        self._body.put(self._parent, dictionary_object(parent))
        for name, state in _STATES.items():
            if name in self._named:
                self._body.put(self._named[name], state)
        if self._within is not None:
            self._body.put(self._within.number, self._named_in(self._within.needs, ()))
        if self._groups:
            groups = array_object(self._groups)
            shown = dictionary_object({"Name": text_string("Processing steps"), "Order": groups})
            self._root["OCProperties"] = dictionary_object({"OCGs": groups, "D": shown})
        if self._wishes:
            self._root["ViewerPreferences"] = dictionary_object(self._wishes)
        return self._described()

    def _bookmarks(self) -> int:
        """A bookmark for each page; the number of what holds them."""
        head, marks = self._body.reserve(), [self._body.reserve() for _ in self._pages]
        for at, (number, title) in enumerate(self._pages):
            entries: Entries = {
                "Title": text_string(title),
                "Parent": reference(head),
                "Dest": array_object((reference(number), "/Fit")),
            }
            if at:
                entries["Prev"] = reference(marks[at - 1])
            if marks[at + 1 :]:
                entries["Next"] = reference(marks[at + 1])
            self._body.put(marks[at], dictionary_object(entries))
        ends: Entries = {"First": reference(marks[0]), "Last": reference(marks[-1])}
        outlines = {"Type": "/Outlines", **ends, "Count": len(marks)}
        self._body.put(head, dictionary_object(outlines))
        return head

    def _described(self) -> bytes:
        """Everything, with the same values in metadata packet and information dictionary."""
        about = self._about
        packet = self._body.reserve()
        kind: Entries = {"Type": "/Metadata", "Subtype": "/XML"}
        self._body.put_stream(packet, kind, xmp.packet(about))
        self._root["Metadata"] = reference(packet)
        info: Entries = {
            "Title": text_string(about.title),
            "Creator": text_string(xmp.PRODUCER),
            "Producer": text_string(xmp.PRODUCER),
            "Trapped": "/False",
        }
        if about.date:
            info["CreationDate"] = info["ModDate"] = text_string(about.pdf_date)
        return self._body.finish(self._add(self._root), self._add(info))

    def _resources(self, needs: Needs, tags: Sequence[str]) -> int:
        """A resource dictionary of what is used, one object for all with equal needs."""
        text = self._named_in(needs, tags)
        known = self._once.get(text)
        if known is None:
            known = self._once[text] = self._body.add(text)
        return known

    def _named_in(self, needs: Needs, tags: Sequence[str]) -> str:
        kinds: Mapping[str, Iterable[str]] = {
            "ColorSpace": needs.spaces,
            "ExtGState": needs.states,
            "Font": needs.fonts,
            "XObject": needs.symbols,
            "Properties": set(tags),
        }
        return dictionary_object(
            {
                kind: dictionary_object({name: reference(self._number(name)) for name in names})
                for kind, each in kinds.items()
                if (names := sorted(each))
            }
        )

    def _number(self, name: str) -> int:
        """The number of what has a resource name, written or not."""
        number = self._named.get(name)
        if number is None:
            number = self._named[name] = self._body.reserve()
        return number

    def _short_stream(self, text: str) -> int:
        """A short stream, one object for all uses of the same content."""
        known = self._once.get(text)
        if known is None:
            known = self._once[text] = self._body.reserve()
            self._body.put_stream(known, {}, text.encode("ascii"))
        return known

    def _add(self, entries: Entries) -> int:
        return self._body.add(dictionary_object(entries))

    def _stream(self, data: bytes, entries: Entries) -> int:
        number = self._body.reserve()
        self._put_stream(number, data, entries)
        return number

    def _put_stream(self, number: int, data: bytes, entries: Entries) -> None:
        packed = zlib.compress(data, _LEVEL)
        self._body.put_stream(number, {**entries, "Filter": "/FlateDecode"}, packed)


class _Boxes:
    """The boxes of a page and the operator that converts steps, y down, to points, y up."""

    def __init__(self, page: Page, points_per_mm: float) -> None:
        self._scale = points_per_mm
        self._height = page.size.height
        self.media = self.box(Rect(0, 0, page.size.width, page.size.height))
        step = plain(points_per_mm / PAGE_STEPS_PER_MM, 15)
        self.head = f"{step} 0 0 -{step} 0 {plain(page.size.height * points_per_mm)} cm"

    def box(self, rect: Rect) -> str:
        """A box in points, corners lower left and upper right."""
        corners = (rect.x, self._height - rect.bottom, rect.right, self._height - rect.y)
        return array_object(plain(value * self._scale) for value in corners)
