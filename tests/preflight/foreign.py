"""Good files made by other programs, and what each must be told.

``house`` and ``standard`` are the codes of the faults under either set of rules. Under the
standard every one passes: none claims PDF/X, and each is a sound PDF.
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.helpers.pdf_system import tool

SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm"'
    ' viewBox="0 0 100 50">{}</svg>'
)
RED = '<rect x="5" y="5" width="30" height="20" fill="#c00000"/>'
LINE = '<path d="M5 5 L90 40" fill="none" stroke="#000" stroke-width="1"/>'
GLASS = '<rect x="5" y="5" width="30" height="20" fill="#c00000" fill-opacity="0.5"/>'
LETTERS = '<text x="10" y="30" font-size="12" font-family="DejaVu Sans">HTRS</text>'
POSTSCRIPT = {
    "gray": b"0.5 setgray 20 20 100 50 rectfill showpage",
    "process": b"0 0.6 1 0 setcmykcolor 20 20 100 50 rectfill showpage",
    "rgb": b"1 0 0 setrgbcolor 20 20 100 50 rectfill showpage",
    "spot": b"[/Separation (Safety Orange) /DeviceCMYK {dup 0.6 mul exch 0 3 1 roll 0}] "
    b"setcolorspace 1 setcolor 20 20 100 50 rectfill showpage",
    "letters": b"/Helvetica findfont 24 scalefont setfont 20 20 moveto (HTRS) show showpage",
    "pages": b"20 20 100 50 rectfill showpage " * 5,
}
TEX = {
    "letters": r"HTRS \& LIQUID",
    "rule": r"\noindent\rule{40mm}{5mm}",
    "color": r"\pdfliteral{0 0.6 1 0 k 0 0 90 40 re f}\null",
}


@dataclass(frozen=True)
class Foreign:
    """``make`` writes the file into a folder; ``heavy`` programs are run by the full tests only."""

    name: str
    make: Callable[[Path], Path]
    house: frozenset[str]
    heavy: bool = False


def foreign() -> Iterator[Foreign]:
    yield from _cairo()
    yield from _ghostscript()
    yield from _qpdf()
    yield from _libraries()
    yield from _mupdf()
    yield from _poppler()
    yield from _heavy()


def _expect(*codes: str) -> frozenset[str]:
    return frozenset(codes)


def _run(*command: str | Path, cwd: Path | None = None) -> None:
    words = [str(each) for each in command]
    words[0] = tool(words[0])
    subprocess.run(words, check=True, capture_output=True, cwd=cwd, timeout=180)


def _drawing(folder: Path, shapes: str) -> Path:
    path = folder / "drawing.svg"
    path.write_text(SQUARE.format(shapes), "utf-8")
    return path


def _cairo() -> Iterator[Foreign]:
    """Cairo writes RGB; a page that needs no transparency is written without a group."""
    cairosvg = pytest.importorskip("cairosvg")

    def drawn(shapes: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            path = folder / "cairo.pdf"
            cairosvg.svg2pdf(url=str(_drawing(folder, shapes)), write_to=str(path))
            return path

        return make

    group = ("color-rgb", "transparency")
    yield Foreign("cairo, a red field", drawn(RED), _expect(*group))
    yield Foreign("cairo, a line", drawn(LINE), _expect(*group))
    yield Foreign("cairo, half a field", drawn(GLASS), _expect(*group))
    yield Foreign("cairo, letters", drawn(LETTERS), _expect(*group, "font-live"))


def _ghostscript() -> Iterator[Foreign]:
    def written(name: str, *options: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            source, path = folder / "page.ps", folder / "gs.pdf"
            source.write_bytes(b"%!PS\n<</PageSize [200 100]>> setpagedevice\n" + POSTSCRIPT[name])
            fixed = ("-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=pdfwrite", f"-sOutputFile={path}")
            _run("gs", *fixed, *options, source)
            return path

        return make

    plain: tuple[str, ...] = ()
    for name, codes in (
        ("gray", plain),
        ("process", plain),
        ("rgb", ("color-rgb",)),
        ("spot", plain),
        ("letters", ("font-live",)),
        ("pages", plain),
    ):
        yield Foreign(f"ghostscript, {name}", written(name), _expect(*codes))
    yield Foreign(
        "ghostscript, letters as outlines", written("letters", "-dNoOutputFonts"), _expect()
    )
    yield Foreign("ghostscript, PDF 1.3", written("gray", "-dCompatibilityLevel=1.3"), _expect())
    # Ghostscript 10.00 leaves the quotes out of an attribute of this packet, so it is not XML.
    yield Foreign(
        "ghostscript, PDF 2.0", written("gray", "-dCompatibilityLevel=2.0"), _expect("claim-xmp")
    )
    yield Foreign("ghostscript, no packing", written("gray", "-dCompressPages=false"), _expect())


def _qpdf() -> Iterator[Foreign]:
    """Rewrites of a file of Ghostscript's: whatever the form, nothing is wrong with it."""

    def rewritten(*options: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            before = _made("ghostscript, spot", folder)
            _run("qpdf", *options, before, folder / "qpdf.pdf")
            return folder / "qpdf.pdf"

        return make

    for options in (
        ("--linearize",),
        ("--qdf",),
        ("--object-streams=generate",),
        ("--stream-data=uncompress",),
        ("--normalize-content=y",),
        ("--recompress-flate", "--compression-level=9"),
    ):
        yield Foreign(f"qpdf {' '.join(options)}", rewritten(*options), _expect())


def _made(name: str, folder: Path) -> Path:
    return next(each for each in _ghostscript() if each.name == name).make(folder)


def _libraries() -> Iterator[Foreign]:
    import pikepdf
    import pypdf
    from PIL import Image

    def blank_by_pikepdf(folder: Path) -> Path:
        with pikepdf.new() as pdf:
            for _ in range(3):
                pdf.add_blank_page()
            pdf.save(folder / "blank.pdf")
        return folder / "blank.pdf"

    def view_by_pikepdf(folder: Path) -> Path:
        """Opens at its page, as office programs have it."""
        with pikepdf.new() as pdf:
            page = pdf.add_blank_page()
            goal = [page.obj, pikepdf.Name.XYZ, None, None, 0]
            pdf.Root["/OpenAction"] = pikepdf.Array(goal)
            pdf.save(folder / "view.pdf")
        return folder / "view.pdf"

    def blank_by_pypdf(folder: Path) -> Path:
        writer = pypdf.PdfWriter()
        writer.add_blank_page(200, 100)
        writer.write(folder / "blank.pdf")
        return folder / "blank.pdf"

    def merged_by_pypdf(folder: Path) -> Path:
        writer = pypdf.PdfWriter()
        for _ in range(2):
            writer.append(_made("ghostscript, process", folder))
        writer.write(folder / "merged.pdf")
        return folder / "merged.pdf"

    def picture(mode: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            target = io.BytesIO()
            Image.new(mode, (40, 20)).save(target, "PDF")
            path = folder / "picture.pdf"
            path.write_bytes(target.getvalue())
            return path

        return make

    yield Foreign("pikepdf, blank pages", blank_by_pikepdf, _expect())
    yield Foreign("pikepdf, opens at a page", view_by_pikepdf, _expect())
    yield Foreign("pypdf, a blank page", blank_by_pypdf, _expect())
    yield Foreign("pypdf, merged", merged_by_pypdf, _expect())
    yield Foreign("pillow, a gray picture", picture("L"), _expect())
    yield Foreign("pillow, a process picture", picture("CMYK"), _expect())
    yield Foreign("pillow, an rgb picture", picture("RGB"), _expect("color-rgb"))


def _mupdf() -> Iterator[Foreign]:
    def cleaned(*options: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            before = _made("ghostscript, spot", folder)
            _run("mutool", "clean", *options, before, folder / "mupdf.pdf")
            return folder / "mupdf.pdf"

        return make

    yield Foreign("mupdf, cleaned", cleaned("-gggg"), _expect())
    yield Foreign("mupdf, packed", cleaned("-z"), _expect())


def _poppler() -> Iterator[Foreign]:
    def redrawn(name: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            _run("pdftocairo", "-pdf", _made(name, folder), folder / "poppler.pdf")
            return folder / "poppler.pdf"

        return make

    group = ("color-rgb", "transparency")  # drawn by cairo
    yield Foreign("poppler, a field", redrawn("ghostscript, rgb"), _expect(*group))
    yield Foreign("poppler, gray", redrawn("ghostscript, gray"), _expect(*group))


def _heavy() -> Iterator[Foreign]:
    def by_inkscape(shapes: str, *options: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            path = folder / "inkscape.pdf"
            _run("inkscape", _drawing(folder, shapes), f"--export-filename={path}", *options)
            return path

        return make

    def by_tex(name: str) -> Callable[[Path], Path]:
        def make(folder: Path) -> Path:
            text = r"\documentclass{article}\pagestyle{empty}\begin{document}%s\end{document}"
            (folder / "page.tex").write_text(text % TEX[name])
            _run("pdflatex", "-interaction=batchmode", "page.tex", cwd=folder)
            return folder / "page.pdf"

        return make

    def by_office(folder: Path) -> Path:
        home = f"-env:UserInstallation=file://{folder}/home"
        drawing = _drawing(folder, RED)
        words = ("--headless", home, "--convert-to", "pdf", "--outdir", folder, drawing)
        _run("soffice", *words)
        return folder / "drawing.pdf"

    def by_rsvg(folder: Path) -> Path:
        _run("rsvg-convert", "-f", "pdf", "-o", folder / "rsvg.pdf", _drawing(folder, RED))
        return folder / "rsvg.pdf"

    def by_chromium(folder: Path) -> Path:
        path, drawing = folder / "chromium.pdf", _drawing(folder, RED)
        fixed = ("--headless", "--no-sandbox", "--disable-gpu", f"--print-to-pdf={path}")
        _run("chromium", *fixed, f"file://{drawing}")
        return path

    group = ("color-rgb", "transparency")
    yield Foreign("inkscape, a red field", by_inkscape(RED), _expect(*group), heavy=True)
    yield Foreign(
        "inkscape, letters as outlines",
        by_inkscape(LETTERS, "--export-text-to-path"),
        _expect(*group),
        heavy=True,
    )
    yield Foreign("tex, letters", by_tex("letters"), _expect("font-live"), heavy=True)
    yield Foreign("tex, a rule", by_tex("rule"), _expect(), heavy=True)
    yield Foreign("tex, process color", by_tex("color"), _expect(), heavy=True)
    yield Foreign("libreoffice, a red field", by_office, _expect("color-rgb"), heavy=True)
    yield Foreign("librsvg, a red field", by_rsvg, _expect(*group), heavy=True)
    yield Foreign("chromium, a red field", by_chromium, _expect("color-rgb"), heavy=True)
