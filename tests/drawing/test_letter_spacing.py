"""Cap height, gaps and word gaps of legends, measured on the raw font outlines and on pictures.

Sources: NUREG-0700 revision 3 (gap of at least one stroke, word gap of at least one character);
stroke to height by DOD-HDBK-791, 6-5.3.2 (1/6 dark on light, 1/7 to 1/8 light on dark). The
outlines, advances and pair kerning are read from the same files by fontTools.
"""

import string
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from layouts.drawing import Path
from layouts.drawing.lettering import Typeface, measure, missing, outline
from render.read.fonts import default_typefaces
from tests.helpers.raw_outlines import RawFont, ink_gap, picture, placed_letters, raw

CHARS = string.ascii_uppercase + string.digits + "-/.&ÄÖÜÉ"
LEGENDS = (
    "AMMONIA",
    "HTRS",
    "LIQ VAP",
    "HIGH",
    "AVATAR LTRL",
    "HOCHDRUCK ÄÖÜ É",
    "HV-118",
    "TYPICAL WAVY LTY",
    "P.T.F.A. L-T",
    "10/14 PSV-2047",
)
WEIGHTS = ("dark", "light")


def face_of(weight: str) -> Typeface:
    face: Typeface = getattr(default_typefaces(), weight)
    return face


@pytest.mark.parametrize("weight", WEIGHTS)
@pytest.mark.parametrize("height", [12.7, 31.75, 88.9])
def test_letter_height_is_what_a_ruler_reads_on_h(weight: str, height: float) -> None:
    box = outline(face_of(weight), "H", height).path.bounds()
    assert (box.y, box.bottom) == pytest.approx((-height, 0), abs=1e-9)


@pytest.mark.parametrize("weight", WEIGHTS)
def test_letter_height_on_a_picture(weight: str) -> None:
    """Rows of ink of flat capitals, against the 0.03 mm allowed between picture and drawing."""
    letters = outline(face_of(weight), "HEFTI", 31.75)
    ink = picture([letters.path], (-1, -35, letters.width + 2, 38), 40)
    flat = np.flatnonzero(ink[:, : ink.shape[1] // 4].max(axis=1) > 0.5)
    assert (flat[-1] - flat[0] + 1) / 40 == pytest.approx(31.75, abs=0.03)


@pytest.mark.parametrize(("weight", "low", "high"), [("dark", 0.15, 0.18), ("light", 1 / 8, 1 / 7)])
def test_stem_on_a_picture_is_the_stem_of_the_typeface(
    weight: str, low: float, high: float
) -> None:
    """Dark within the wanted 0.15 to 0.18 about 1/6, light within 1/8 to 1/7."""
    letters = outline(face_of(weight), "I", 100)
    ink = picture([letters.path], (-1, -60, letters.width + 2, 20), 40)
    assert ink[400].sum() / 40 / 100 == pytest.approx(face_of(weight).stem, abs=0.0005)
    assert low <= face_of(weight).stem <= high


@pytest.mark.parametrize("weight", WEIGHTS)
@pytest.mark.parametrize("text", LEGENDS)
def test_least_gap_of_legends_is_one_stem(weight: str, text: str) -> None:
    """Between any two letters of a word, neighbors or not; contours are checked as they go."""
    face = face_of(weight)
    letters = placed_letters(raw(weight), text, outline(face, text, 25.4))
    at = 0
    for word in text.split():
        own = letters[at : at + len(word)]
        at += len(word)
        for index, letter in enumerate(own):
            for other in own[index + 1 : index + 3]:
                assert ink_gap(letter, other) >= face.stem


def checked_pair(weight: str, pair: str) -> None:
    """Gap at least one stem, no letter closer than the font sets it, none pushed too far."""
    face, font = face_of(weight), raw(weight)
    one, other = placed_letters(font, pair, outline(face, pair, 1.0))
    gap = ink_gap(one, other)
    assert gap >= face.stem, pair
    left = [min(ring[:, 0].min() for ring in rings) for rings in map(font.rings, pair)]
    at = [min(ring[:, 0].min() for ring in rings) for rings in (one, other)]
    step = (at[1] - left[1]) - (at[0] - left[0])
    natural = font.advance(pair[0]) + font.kern(*pair)
    tracked = natural + face.spacing.tracking
    assert step >= tracked - 1e-9, pair
    if step > tracked + 1e-6:
        assert gap <= face.stem * 1.01, pair


@pytest.mark.parametrize("weight", WEIGHTS)
def test_least_gap_of_telling_pairs(weight: str) -> None:
    """Diagonals, overhangs, rounds, dots and accents."""
    for pair in (
        "AV",
        "VA",
        "LT",
        "TA",
        "TY",
        "LY",
        "OO",
        "RA",
        "FJ",
        "P.",
        "7/",
        "Ä-",
        "ÉÄ",
        "11",
    ):
        checked_pair(weight, pair)


@pytest.mark.full
@pytest.mark.parametrize("weight", WEIGHTS)
@pytest.mark.parametrize("first", CHARS)
def test_least_gap_of_every_pair(weight: str, first: str) -> None:
    for second in CHARS:
        checked_pair(weight, first + second)


@pytest.mark.parametrize("weight", WEIGHTS)
def test_tracking_brings_two_rounds_to_one_stem_and_no_further(weight: str) -> None:
    face, font = face_of(weight), raw(weight)
    left, _, right, _ = font.bounds("O")
    natural = font.advance("O") + font.kern("O", "O") - (right - left) / font.cap
    assert face.spacing.tracking == pytest.approx(max(0, face.stem - natural), abs=1e-9)


@pytest.mark.parametrize("pair", ["OO", "AV", "LT", "HH"])
def test_gap_on_a_picture(pair: str) -> None:
    """Shortest way between the pixels of two letters, 40 pixels a millimeter of 20 mm letters.

    Each rim may be a pixel off, hence the 0.06 mm.
    """
    face, height, per_mm = face_of("dark"), 20.0, 40
    letters = outline(face, pair, height)
    first = len(raw("dark").rings(pair[0]))
    box = (-1, -22, letters.width + 2, 24)
    one, other = (
        np.argwhere(_rim(picture([Path(part)], box, per_mm) > 0.5))
        for part in (letters.path.contours[:first], letters.path.contours[first:])
    )
    least = min(np.hypot(*(other - point).T).min() for point in one) / per_mm
    assert least >= face.stem * height - 0.03
    measured = ink_gap(*placed_letters(raw("dark"), pair, letters)) * height
    assert least == pytest.approx(measured, abs=0.06)


def _rim(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Pixels of ink with a neighbor that has none."""
    inner = ink.copy()
    for axis in (0, 1):
        for by in (-1, 1):
            inner &= np.roll(ink, by, axis=axis)
    return ink & ~inner


@pytest.mark.parametrize("weight", WEIGHTS)
@pytest.mark.parametrize("text", ["LIQ VAP", "A V", "L T", "HOCHDRUCK ÄÖÜ", "I I"])
def test_word_gap_is_one_character(weight: str, text: str) -> None:
    """The character is H, which is wider than the mean capital; the gap is bare of ink."""
    font = raw(weight)
    letters = placed_letters(font, text, outline(face_of(weight), text, 25.4))
    split = text.index(" ")
    right = max(ring[:, 0].max() for rings in letters[:split] for ring in rings)
    left = min(ring[:, 0].min() for rings in letters[split:] for ring in rings)
    widths = {char: _ink_width(font, char) for char in string.ascii_uppercase}
    assert left - right == pytest.approx(widths["H"], abs=1e-6)
    assert widths["H"] >= sum(widths.values()) / len(widths)


def _ink_width(font: RawFont, char: str) -> float:
    left, _, right, _ = font.bounds(char)
    return (right - left) / font.cap


@pytest.mark.parametrize("text", [*LEGENDS, "JÄ", "(J", "  HIGH  "])
def test_measure_and_outline_agree_and_ink_begins_at_zero(text: str) -> None:
    face = face_of("dark")
    letters = outline(face, text, 63.5)
    box = letters.path.bounds()
    assert box.x == pytest.approx(0, abs=1e-9)
    assert box.width == pytest.approx(letters.width, abs=1e-9)
    assert measure(face, text, 63.5) == letters.width
    assert letters.missing == ()


def test_runs_of_blanks_are_one_word_gap() -> None:
    face = face_of("dark")
    assert measure(face, " LIQ \u00a0 VAP ", 10) == measure(face, "LIQ VAP", 10)


def test_nothing_to_draw_has_no_width() -> None:
    for text in ("", "  "):
        letters = outline(face_of("dark"), text, 10)
        assert (letters.path.contours, letters.width, letters.missing) == ((), 0.0, ())


def test_a_character_that_the_font_lacks_is_named_once_and_left_out() -> None:
    """CJK is not in the font by its own character map; a blank is never missing."""
    face = face_of("dark")
    assert ord("漢") not in raw("dark").cmap
    assert missing(face, "A漢 B漢字") == ("漢", "字")
    letters = outline(face, "A漢V", 10)
    assert letters.missing == ("漢",)
    assert letters.path == outline(face, "AV", 10).path


def test_an_accent_is_joined_to_its_letter_or_reported() -> None:
    """Unicode NFC: E and U+0301 make one character, Q and U+0301 do not."""
    face = face_of("dark")
    assert outline(face, "E\u0301", 10) == outline(face, "\u00c9", 10)
    assert missing(face, "E\u0301") == ()
    assert missing(face, "Q\u0301") == ("\u0301",)


def test_letters_of_a_word_stay_in_order_from_left_to_right() -> None:
    letters = placed_letters(raw("dark"), "AVATAR", outline(face_of("dark"), "AVATAR", 10))
    middles = [np.mean([ring[:, 0].mean() for ring in rings]) for rings in letters]
    assert all(one < other for one, other in pairwise(middles))
