"""Font files as typefaces, against the same files read by fontTools."""

import hashlib
import string
import subprocess
import sys
from collections.abc import Callable, Sequence
from importlib.resources import files as resource_files
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.basePen import AbstractPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen

from layouts.drawing.lettering import outline
from layouts.terms.errors import InputError
from layouts.terms.findings import Severity
from render.read.fonts import (
    DEFAULT_DARK,
    DEFAULT_LIGHT,
    TYPEFACES,
    default_typefaces,
    load_typeface,
    typefaces,
)
from tests.helpers.raw_outlines import FILES, raw

FACES = {"dark": lambda: default_typefaces().dark, "light": lambda: default_typefaces().light}


# The files that every measured figure of the default lettering belongs to.
PINNED_SHA256 = {
    "Roboto-Medium.ttf": "7984aafeaf437899ce89b251d2875fc5048cb7d290152eac070239cca7ff726c",
    "Roboto-Regular.ttf": "797e35f7f5d6020a5c6ea13b42ecd668bcfb3bbc4baa0e74773527e5b6cb3174",
}


def test_the_installed_fonts_are_the_pinned_ones() -> None:
    assert {path.name for path in FILES.values()} == set(PINNED_SHA256)
    for path in FILES.values():
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        assert digest == PINNED_SHA256[path.name]


@pytest.mark.parametrize("weight", FACES)
def test_every_latin_letter_has_the_bounds_and_advance_of_the_file(weight: str) -> None:
    face, font = FACES[weight](), raw(weight)
    for char in string.ascii_letters + string.digits + "ÄÖÜÉÅØßæ&@%°²½€":
        glyph, (left, low, right, high) = face.glyph(char), font.bounds(char)
        assert glyph, char
        box = glyph.path.bounds()
        expected = [value / font.cap for value in (left, -high, right, -low)]
        assert [box.x, box.y, box.right, box.bottom] == pytest.approx(expected, abs=1e-9), char
        assert glyph.advance == pytest.approx(font.advance(char), abs=1e-12), char


@pytest.mark.parametrize("weight", FACES)
def test_kerning_is_that_of_the_gpos_table(weight: str) -> None:
    face, font = FACES[weight](), raw(weight)
    chars = "AVTLYPWFOHKR17.-ao"
    kerned = 0
    for first in chars:
        for second in chars:
            expected = font.kern(first, second)
            assert face.kern(first, second) == pytest.approx(expected, abs=1e-12), first + second
            kerned += expected != 0
    assert kerned > 50
    assert face.kern("A", "漢") == 0


def test_key_tells_files_apart_and_is_short() -> None:
    faces = default_typefaces()
    assert faces.dark.key != faces.light.key
    assert faces.dark.key == load_typeface(FILES["dark"]).key
    assert len(faces.dark.key) == 8
    assert (faces.dark.name, faces.text.name) == ("Roboto Medium", "Roboto")


def test_own_font_sets_the_legends_and_leaves_the_text() -> None:
    own = typefaces(FILES["light"])
    assert own.dark is own.light
    assert own.dark.name == "Roboto"
    assert own.text is default_typefaces().text
    assert typefaces() is default_typefaces()


def square_font(
    path: Path, *, cubic: bool, chars: str = "HO", drawn: bool = True, advance: int = 650
) -> Path:
    """A made-up font: H of two stems and a bar, O a ring of curves; capitals 700 of 1000."""
    names = {ord(char): f"letter{index}" for index, char in enumerate(chars)}
    builder = FontBuilder(1000, isTTF=not cubic)
    builder.setupGlyphOrder([".notdef", *names.values()])
    builder.setupCharacterMap(names)
    glyphs = {".notdef": _glyph("", cubic)}
    glyphs |= {name: _glyph(chr(code) if drawn else "", cubic) for code, name in names.items()}
    if cubic:
        builder.setupCFF("Square", {}, glyphs, {})
    else:
        builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics(dict.fromkeys([".notdef", *names.values()], (advance, 50)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable(
        {"familyName": "Square", "styleName": "Regular", "fullName": "Square Regular"}
    )
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)
    return path


def _glyph(char: str, cubic: bool) -> object:
    pen = T2CharStringPen(600, None) if cubic else TTGlyphPen(None)
    if char == "H":
        for left, low, right, high in ((50, 0, 150, 700), (450, 0, 550, 700), (150, 300, 450, 400)):
            # PostScript outlines turn counterclockwise, TrueType ones clockwise.
            ring = [(left, low), (right, low), (right, high), (left, high)]
            _ring(pen, ring if cubic else ring[::-1])
    elif char:
        pen.moveTo((50, 350))
        if cubic:
            pen.curveTo((50, 800), (550, 800), (550, 350))
            pen.curveTo((550, -100), (50, -100), (50, 350))
        else:
            pen.qCurveTo((300, 1050), (550, 350))
            pen.qCurveTo((300, -350), (50, 350))
        pen.closePath()
    return pen.getCharString() if cubic else pen.glyph()


def _ring(pen: AbstractPen, corners: Sequence[tuple[float, float]]) -> None:
    pen.moveTo(corners[0])
    for corner in corners[1:]:
        pen.lineTo(corner)
    pen.closePath()


@pytest.mark.parametrize("cubic", [True, False])
def test_postscript_and_truetype_outlines_both_serve(tmp_path: Path, cubic: bool) -> None:
    face = load_typeface(square_font(tmp_path / "square.otf", cubic=cubic))
    assert face.name == "Square Regular"
    assert face.stem == pytest.approx(100 / 700, abs=1e-9)
    assert outline(face, "HH", 70).width == pytest.approx(115, abs=1e-9)
    # Top of the cubic O: 350 + 3/4 x 450; of the quadratic one: 350 + 1/2 x 700 (Bezier at 1/2).
    top = 687.5 if cubic else 700.0
    assert outline(face, "O", 70).path.bounds().y == pytest.approx(-top / 10, abs=1e-9)


def test_a_font_without_the_round_capital_still_keeps_its_gap(tmp_path: Path) -> None:
    face = load_typeface(square_font(tmp_path / "h.ttf", cubic=False, chars="H", advance=560))
    assert face.spacing.tracking == 0
    assert face.glyph("O") is None
    assert face.spacing.step("H", "H") == pytest.approx(600 / 700, abs=0.001)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda path: None, "cannot be read"),
        (lambda path: path.mkdir(), "cannot be read"),
        (lambda path: path.write_bytes(b""), "not a font"),
        (lambda path: path.write_bytes(b"no font at all" * 99), "not a font"),
        (lambda path: path.write_bytes(FILES["dark"].read_bytes()[:5000]), "no capital H"),
        (lambda path: square_font(path, cubic=False, chars="O"), "no capital H"),
        (lambda path: square_font(path, cubic=True, drawn=False), "no capital H"),
    ],
)
def test_a_font_that_cannot_serve_is_refused_in_one_sentence(
    tmp_path: Path, make: Callable[[Path], object], words: str
) -> None:
    path = tmp_path / "shop.ttf"
    make(path)
    with pytest.raises(InputError) as caught:
        load_typeface(path)
    (finding,) = caught.value.findings
    assert (finding.code, finding.severity) == ("font-unreadable", Severity.UNREADABLE)
    assert finding.place.file == str(path)
    assert words in finding.what
    assert finding.right


@pytest.mark.parametrize("name", [DEFAULT_DARK, DEFAULT_LIGHT, "LICENSE"])
def test_the_default_lettering_is_the_published_one(name: str) -> None:
    """The package font-roboto repacks the published files."""
    published = resource_files("font_roboto") / "files" / name
    assert (TYPEFACES / name).read_bytes() == published.read_bytes()


def test_lettering_starts_without_the_heavy_libraries() -> None:
    code = (
        "import sys; from render.read.fonts import default_typefaces as f;"
        "from layouts.drawing.lettering import outline;"
        "outline(f().dark, 'HTRS AMMONIA HIGH', 31.75);"
        "print(sorted({'fontTools', 'numpy', 'numba', 'cairosvg', 'ezdxf', 'font_roboto'}"
        " & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
