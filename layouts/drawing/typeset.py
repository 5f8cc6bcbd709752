"""Running text of proofs, tickets, charts and notes: each glyph drawn once, placed by reference.

Text keeps the typeface's own spacing and kerning. Sizes are cap heights in mm. A character that
the typeface lacks is spelled by its number, ``<U+51B7>``, so that no two places look the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, compress, count, pairwise, repeat
from math import fsum
from types import MappingProxyType
from typing import Literal, TypeAlias, TypeVar

from layouts.drawing import Affine, Contour, Path, Point, Rect, polygon
from layouts.drawing.document import Fill, Placement, Symbol, Wording, glyph_symbol
from layouts.drawing.inks import Ink
from layouts.drawing.lettering import Typeface, flatten, spelled
from layouts.drawing.memo import Kept
from layouts.terms.values import frozen

Align: TypeAlias = Literal["left", "center", "right"]

PITCH = 1.8  # baseline to baseline, in cap heights
UNIT = 10.0  # cap height at which symbols are drawn, mm: four decimals stay far below a micron
_FLATNESS = 0.1  # of chords in notes, mm at that height
_SHARE: Mapping[Align, float] = MappingProxyType({"left": 0.0, "center": 0.5, "right": 1.0})
_BLANK_ADVANCE = 0.35  # cap heights, for a typeface without a blank
_BOX_ADVANCE = 0.8
_NARROW = 0.4  # cap heights: text of even narrower characters is not tried as one line
# What a further symbol costs a file, in placed letters (measured: to write and to inspect). A word
# or a line becomes one symbol once its letters have cost as much.
_FORM = 16
# Pieces of a word: up to a hyphen or slash, digits in pairs from their end.
_PIECES = re.compile(r"[^-/\d]+[-/]*|\d{1,2}(?=(?:\d\d)*(?!\d))[-/]*|[-/]+", re.DOTALL)


@frozen
class Block:
    """Lines set below each other, and the height they take."""

    placements: tuple[Placement, ...]
    height: float


@dataclass(slots=True)
class _Line:
    """A line of text as it is placed: symbols with their x in cap heights, and the whole width.

    ``uses`` counts how often it was asked for.
    """

    placed: tuple[tuple[float, str], ...]
    width: float
    uses: int = 0


@frozen
class _Char:
    """A character ready to be placed; ``symbol`` is empty for a blank, and nothing is drawn."""

    sign: str
    symbol: str
    advance: float
    path: Path
    drawn: Symbol | None = None


K = TypeVar("K")
V = TypeVar("V")


class _Learned(dict[K, V]):
    """Facts by character or by pair of characters, each taken from the typeface at first use."""

    def __init__(self, learn: Callable[[K], V]) -> None:
        self._learn = learn

    def __missing__(self, about: K) -> V:
        fact = self[about] = self._learn(about)
        return fact


class _Known:
    """What all papers in one typeface share: characters, kerning, and chords of outlines.

    ``blanks`` are the characters without ink and ``lacking`` those that the typeface lacks, of
    the characters used so far. ``tops`` and ``lows`` are where their ink ends, mm.
    """

    def __init__(self, face: Typeface) -> None:
        self._face = face
        self.chars = _Learned(self._learn)
        self.advances: _Learned[str, float] = _Learned(lambda char: self.chars[char].advance)
        self.kerns: _Learned[tuple[str, str], float] = _Learned(lambda pair: face.kern(*pair))
        self.chords: dict[str, tuple[Contour, ...]] = {}
        self.blanks: set[str] = set()
        self.lacking: set[str] = set()
        self.tops: _Learned[str, float] = _Learned(lambda char: self._bounds(char).y)
        self.lows: _Learned[str, float] = _Learned(lambda char: self._bounds(char).bottom)

    def kerning(self, signs: str) -> tuple[float, ...]:
        """The kerning behind each character but the last, in cap heights."""
        return tuple(map(self.kerns.__getitem__, pairwise(signs)))

    def line_box(self, signs: str, width: float) -> Rect:
        """The box around a line of this width in cap heights, mm."""
        first, last = self._bounds(signs[0]), self._bounds(signs[-1])
        behind = self.advances[signs[-1]] * UNIT - last.right
        top = min(map(self.tops.__getitem__, signs))
        low = max(map(self.lows.__getitem__, signs))
        return Rect(first.x, top, width * UNIT - behind - first.x, low - top)

    def _bounds(self, char: str) -> Rect:
        drawn = self.chars[char].drawn
        return Rect(0.0, 0.0, 0.0, 0.0) if drawn is None else drawn.bounds

    def _learn(self, char: str) -> _Char:
        glyph = self._face.glyph(" " if char.isspace() else char)
        if char.isspace() or (glyph and not glyph.path.contours):
            self.blanks.add(char)
            return _Char(char, "", glyph.advance if glyph else _BLANK_ADVANCE, Path(()))
        if glyph is None:
            self.lacking.add(char)
            return self._draw(char, f"g-{self._face.key}-box", _box(), _BOX_ADVANCE)
        return self._draw(char, glyph_symbol(self._face, char), glyph.path, glyph.advance)

    def _draw(self, char: str, symbol: str, path: Path, advance: float) -> _Char:
        scaled = path.mapped(Affine.scale(UNIT))
        drawn = Symbol(symbol, (Fill(scaled, None),), scaled.bounds())
        return _Char(char, symbol, advance, scaled, drawn)


_KNOWN: Kept[Typeface, _Known] = Kept(_Known, most=8)  # for the next paper


class Typesetter:
    """Sets text in one typeface and collects the symbols it used.

    All pages of a document share one setter for each typeface, so that a glyph is drawn once.
    """

    def __init__(
        self, typeface: Typeface, live: bool = False, symbols: dict[str, Symbol] | None = None
    ) -> None:
        """With ``live`` a line is text in the typeface's font, where a file may hold that.

        The symbols go into ``symbols``, which setters of one paper may share.
        """
        self._face = typeface
        self._live = live and typeface.font is not None and typeface.font.index(" ") > 0
        self._known = _KNOWN.of(typeface)
        self._used: set[str] = set()
        self._measures: dict[str, tuple[float, tuple[float, ...]]] = {}
        self._wraps: dict[tuple[str, float], tuple[str, ...]] = {}
        self._lines: dict[str, _Line] = {}
        self._words: dict[str, int] = {}
        self._symbols = {} if symbols is None else symbols

    def symbols(self) -> Mapping[str, Symbol]:
        """Every glyph, word and line used so far, by symbol id, in order of first use."""
        return MappingProxyType(self._symbols)

    def forget(self) -> None:
        """Drop every line and symbol, so that a long paper holds those of a few pages only.

        The name of a symbol that is used again means the same.
        """
        self._used.clear()
        self._measures.clear()
        self._wraps.clear()
        self._lines.clear()
        self._symbols.clear()

    def width(self, text: str, size: float) -> float:
        """Width of a line in mm, its side bearings included."""
        return self._measure(text)[0] * size

    def line(
        self, text: str, at: Point, size: float, ink: Ink, align: Align = "left"
    ) -> tuple[Placement, ...]:
        """One line of text with its baseline at ``at``; line ends count as blanks."""
        line = self._known_line(text)
        left, y, scale = at.x - _SHARE[align] * line.width * size, at.y, size / UNIT
        return tuple(
            [
                Placement(symbol, Affine(scale, 0.0, 0.0, scale, left + x * size, y), ink)
                for x, symbol in line.placed
            ]
        )

    def outline_text(self, text: str, at: Point, size: float, align: Align = "left") -> Path:
        """One line of text as a flat path of chords, for files that place nothing by reference.

        A cutter's screen needs no better, and a cut file of notes stays small.
        """
        run, width = self._run(text)
        left, scale = at.x - _SHARE[align] * width * size, size / UNIT
        contours: list[Contour] = []
        for x, char in run:
            place = Affine(scale, 0.0, 0.0, scale, left + x * size, at.y)
            contours += (contour.mapped(place) for contour in self._flatten_char(char))
        return Path(tuple(contours))

    def _flatten_char(self, char: _Char) -> tuple[Contour, ...]:
        """The character's contours in chords, cut once."""
        known = self._known.chords.get(char.symbol)
        if known is None:
            known = self._known.chords[char.symbol] = tuple(
                polygon(flatten(contour, _FLATNESS)).contours[0] for contour in char.path.contours
            )
        return known

    def wrap(self, text: str, size: float, width: float) -> list[str]:
        """The text in lines of at most ``width`` mm, line ends kept.

        A word wider than a line is broken behind a hyphen or slash, else between any characters.
        """
        limit = width / size if size > 0 else 0.0
        if self._is_line(text, limit):
            return [text]
        known = self._wraps.get((text, limit))
        if known is None:
            parts = self._spelled(text).split("\n")
            known = tuple(line for part in parts for line in self._wrap_lines(part, limit))
            self._wraps[text, limit] = known
        return list(known)

    def paragraph(
        self, text: str, at: Point, size: float, width: float, ink: Ink, align: Align = "left"
    ) -> Block:
        """Wrapped text in a box of a width in mm whose top-left corner is ``at``.

        Each line takes a strip of ``PITCH`` cap heights with its capitals in the middle, so blocks
        stack without extra spacing.
        """
        x = at.x + _SHARE[align] * width
        placements: list[Placement] = []
        lines = self.wrap(text, size, width)
        for index, line in enumerate(lines):
            baseline = Point(x, at.y + (index + 0.5) * PITCH * size + size / 2)
            placements += self.line(line, baseline, size, ink, align)
        return Block(tuple(placements), len(lines) * PITCH * size)

    def _known_line(self, text: str) -> _Line:
        """The line, counted as used once more: one symbol where that costs less."""
        line = self._lines.get(text)
        if line is None and self._live:
            line = self._worded(text)
        if line is None:
            run, width = self._run(text)
            line = self._lines[text] = _Line(tuple(self._in_words(run)), width)
        line.uses += 1
        if len(line.placed) > 1 and line.uses * (len(line.placed) - 1) >= _FORM + len(text):
            letters = [(x, char.symbol) for x, char in self._run(text)[0] if char.symbol]
            line.placed = (self._join_letters(f"l-{self._face.key}-{text}", letters),)
        return line

    def _worded(self, text: str) -> _Line | None:
        """The line as one symbol of text; None where it is blank or the font lacks a character."""
        width, kerning = self._measure(text)
        signs = self._spelled(text)
        self._use(signs)
        known = self._known
        if known.blanks.issuperset(signs) or not known.lacking.isdisjoint(signs):
            return None
        name = f"l-{self._face.key}-{text}"
        wording = Wording(self._face, UNIT, _kerned(signs, kerning))
        self._symbols[name] = Symbol(name, (), known.line_box(signs, width), wording=wording)
        line = self._lines[text] = _Line(((0.0, name),), width)
        return line

    def _measure(self, text: str) -> tuple[float, tuple[float, ...]]:
        """Width of a line, and the kerning behind each character but the last, in cap heights.

        The kerning is empty where no pair of the line has any.
        """
        measure = self._measures.get(text)
        if measure is None:
            signs, known = self._spelled(text), self._known
            kerning = known.kerning(signs)
            width = fsum(map(known.advances.__getitem__, signs)) + fsum(kerning)
            measure = self._measures[text] = width, kerning if any(kerning) else ()
        return measure

    def _spelled(self, text: str) -> str:
        """The text with what the typeface lacks as numbers of Unicode."""
        return text if text.isascii() else spelled(text, self._face)

    def _use(self, signs: str) -> None:
        """Note the characters as used by this paper."""
        if not self._used.issuperset(signs):
            self._used.update(signs)
            for char in dict.fromkeys(signs):
                drawn = self._known.chars[char].drawn
                if drawn is not None:
                    self._symbols.setdefault(drawn.id, drawn)

    def _in_words(self, run: Sequence[tuple[float, _Char]]) -> Iterator[tuple[float, str]]:
        """The symbols of a line: what is used often as one, others by their letters.

        A word is tried whole, then in pieces: marks of lines and tags, such as HSD-4-217, share
        their beginnings and pairs of digits.
        """
        start = 0
        while start < len(run):
            end = start
            while end < len(run) and run[end][1].symbol:
                end += 1
            if end > start:
                chars = run[start:end]
                yield from self._word("".join([char.sign for _, char in chars]), chars)
            start = end + 1

    def _word(self, word: str, chars: Sequence[tuple[float, _Char]]) -> Iterator[tuple[float, str]]:
        letters = [(x, char.symbol) for x, char in chars]
        if self._is_frequent(word):
            yield self._join_letters(f"w-{self._face.key}-{word}", letters)
            return
        pieces = _PIECES.findall(word)
        if len(pieces) < 2:
            yield from letters
            return
        at = 0
        for piece in pieces:
            part = letters[at : at + len(piece)]
            at += len(piece)
            if self._is_frequent(piece):
                yield self._join_letters(f"w-{self._face.key}-{piece}", part)
            else:
                yield from part

    def _is_frequent(self, word: str) -> bool:
        """Whether a word or piece is worth a symbol, counted as used once more."""
        uses = self._words[word] = self._words.get(word, 0) + 1
        return uses * (len(word) - 1) >= _FORM

    def _join_letters(self, name: str, letters: Sequence[tuple[float, str]]) -> tuple[float, str]:
        """The letters as one symbol, and its position in the line."""
        start = letters[0][0]
        if name not in self._symbols:
            placed = tuple(
                Placement(letter, Affine.move((x - start) * UNIT, 0.0)) for x, letter in letters
            )
            box = Rect.around(
                self._symbols[each.symbol].bounds.moved(each.at.e, 0.0) for each in placed
            )
            self._symbols[name] = Symbol(name, (), box, placed)
        return start, name

    def _run(self, text: str) -> tuple[list[tuple[float, _Char]], float]:
        """Every character with its x, and the whole width, in cap heights."""
        width, kerning = self._measure(text)
        signs, chars = self._spelled(text), self._known.chars
        self._use(signs)
        run: list[tuple[float, _Char]] = []
        x = 0.0
        for char, kern in zip(signs, chain(kerning, repeat(0.0)), strict=False):
            known = chars[char]
            run.append((x, known))
            x += known.advance + kern
        return run, width

    def _is_line(self, text: str, limit: float) -> bool:
        """Whether a text is one line just as it is, ``limit`` in cap heights."""
        return (
            len(text) * _NARROW <= limit
            and text.isascii()
            and text.isprintable()
            and "  " not in text
            and text.strip() == text
            and self._measure(text)[0] <= limit
        )

    def _wrap_lines(self, text: str, limit: float) -> Iterator[str]:
        """Greedy lines of one paragraph, ``limit`` in cap heights; at least one, even if empty."""
        line, used = "", 0.0
        for word in text.split():
            wide = self._measure(word)[0]
            for piece in (word,) if wide <= limit else self._pieces(word, limit):
                joined = self._joint(line, piece) if line else 0.0
                wide = self._measure(piece)[0] if piece is not word else wide
                if line and used + joined + wide > limit:
                    yield line
                    line, used = piece, wide
                else:
                    line, used = (f"{line} {piece}" if line else piece), used + joined + wide
        yield line

    def _joint(self, line: str, word: str) -> float:
        """Width of the blank between a line and its next word, kerning included."""
        kerns = self._known.kerns
        return kerns[line[-1], " "] + self._known.advances[" "] + kerns[" ", word[0]]

    def _pieces(self, word: str, limit: float) -> Iterator[str]:
        """The word, cut where it is wider than a line."""
        while len(word) > 1 and self.width(word, 1.0) > limit:
            count = 1
            while self.width(word[: count + 1], 1.0) <= limit:
                count += 1
            joint = max(word.rfind(mark, 0, count) for mark in "-/")
            count = joint + 1 if joint > 0 else count
            yield word[:count]
            word = word[count:]
        yield word


def _kerned(signs: str, kerning: Sequence[float]) -> tuple[tuple[str, float], ...]:
    """The characters in strings, each with the kerning behind it in cap heights."""
    if not signs.isprintable():
        signs = "".join([" " if char.isspace() else char for char in signs])
    pieces: list[tuple[str, float]] = []
    start = 0
    for end in compress(count(1), kerning):
        pieces.append((signs[start:end], kerning[end - 1]))
        start = end
    return (*pieces, (signs[start:], 0.0))


def _box() -> Path:
    """The empty box for a character that the typeface lacks, in cap heights."""
    outer, inner = Rect(0.1, -1.0, 0.6, 1.0), Rect(0.18, -0.92, 0.44, 0.84)
    around = polygon(
        (
            Point(outer.x, outer.y),
            Point(outer.right, outer.y),
            Point(outer.right, outer.bottom),
            Point(outer.x, outer.bottom),
        )
    )
    hollow = polygon(
        (
            Point(inner.x, inner.y),
            Point(inner.x, inner.bottom),
            Point(inner.right, inner.bottom),
            Point(inner.right, inner.y),
        )
    )
    return around.joined(hollow)
