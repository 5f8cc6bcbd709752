"""Fonts of papers: each typeface once, with the glyphs that the file's text uses.

Text is written by glyph numbers (Identity-H, ISO 32000-1, 9.7), and a map from them to characters
lets it be searched and copied. The numbers are those of the full font file, even in a subset.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field

from layouts.drawing.document import Wording
from layouts.drawing.lettering import FontFile, Typeface
from layouts.terms.errors import OutputError
from render.write.pdf.content import TextUse

_MOST_MAPPED = 100  # characters in one block of a map (Adobe Technical Note 5014)


@dataclass(slots=True)
class UsedFont:
    """A typeface with the characters that are written in it, by their glyph numbers."""

    typeface: Typeface
    file: FontFile
    chars: dict[int, str] = field(default_factory=dict)
    _seen: set[str] = field(default_factory=set)
    _codes: dict[int, str] = field(default_factory=dict)  # by code point, for ``str.translate``

    def encode(self, text: str) -> str:
        """The text as glyph numbers, each of four hexadecimal digits."""
        if not self._seen.issuperset(text):
            for char in dict.fromkeys(text):
                index = self.file.index(char)
                self.chars.setdefault(index, char)
                self._codes[ord(char)] = f"{index:04X}"
            self._seen.update(text)
        return text.translate(self._codes)

    def name(self) -> str:
        """The font's name with a tag for this subset: six letters, as ISO 32000-1, 9.6.4 asks."""
        digest = hashlib.sha256(repr(sorted(self.chars)).encode()).digest()
        tag = "".join(chr(ord("A") + each % 26) for each in digest[:6])
        return f"{tag}+{self.file.name}"

    def data(self) -> bytes:
        """The font file of the used glyphs."""
        return self.file.subset(sorted(self.chars))

    def widths(self) -> Iterator[tuple[int, int]]:
        """Each glyph's number and its width in thousandths of an em."""
        for index, char in sorted(self.chars.items()):
            glyph = self.typeface.glyph(char)
            yield index, round((glyph.advance if glyph else 0.0) * 1000 / self.file.em)

    def characters(self) -> bytes:
        """The map from glyph numbers to characters (ISO 32000-1, 9.10.3)."""
        lines = [
            "/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
            "/CMapName /Adobe-Identity-UCS def /CMapType 2 def",
            "1 begincodespacerange <0000> <FFFF> endcodespacerange",
        ]
        pairs = [
            f"<{index:04X}> <{char.encode('utf-16-be').hex().upper()}>"
            for index, char in sorted(self.chars.items())
        ]
        for at in range(0, len(pairs), _MOST_MAPPED):
            block = pairs[at : at + _MOST_MAPPED]
            lines += [f"{len(block)} beginbfchar", *block, "endbfchar"]
        lines += ["endcmap CMapName currentdict /CMap defineresource pop end end", ""]
        return "\n".join(lines).encode("ascii")


class Fonts:
    """The fonts of one file."""

    def __init__(self) -> None:
        self._fonts: dict[str, tuple[str, UsedFont]] = {}

    def text(self, wording: Wording) -> TextUse:
        """A line of text as placed; its characters are recorded."""
        typeface = wording.typeface
        known = self._fonts.get(typeface.key)
        if known is None:
            if typeface.font is None:
                raise OutputError(f"the typeface {typeface.name} cannot be embedded")
            known = f"F{len(self._fonts)}", UsedFont(typeface, typeface.font)
            self._fonts[typeface.key] = known
        name, font = known
        return TextUse(name, _strings(wording.pieces, font), wording.size * font.file.em)

    def used(self) -> Collection[tuple[str, UsedFont]]:
        """Every font with its resource name."""
        return self._fonts.values()


def _strings(pieces: Iterable[tuple[str, float]], font: UsedFont) -> str:
    """Strings with the kerning between them, in thousandths of an em."""
    parts: list[str] = []
    for text, kern in pieces:
        parts.append(f"<{font.encode(text)}>")
        if kern:
            parts.append(f"{round(-kern * 1000 / font.file.em)}")
    return "".join(parts)
