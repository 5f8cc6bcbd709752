"""Film that is not white: what prints on it, measured on the plates by Ghostscript.

"A white legend knocks out; over white the colors overprint" and "white under the bands on film
of the field's color" are common practice, no source.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from layouts.drawing import Affine, Rect
from layouts.drawing.document import Fill, Step
from layouts.drawing.inks import InkRole
from layouts.drawing.typeset import Typesetter
from layouts.face import compose
from layouts.order.order import PipeMarker, ValveTag
from layouts.pages.margin import SheetText
from layouts.pages.steps import cut_layers
from layouts.plan import plan
from layouts.schemes.loader import load_scheme
from layouts.sheets.film import on_stock
from layouts.sheets.pieces import Wanted
from layouts.sheets.planning import plan_sheets
from layouts.sheets.sheetplan import SheetPlan
from layouts.sheets.stock import Base, Printer, Stock
from layouts.terms.words import PartRole
from render.read.fonts import default_typefaces
from render.shop.shopfile import load_shop
from render.write import pdf
from tests.helpers.sheet_pages import assemble

SCHEMES = {key: load_scheme(key) for key in ("ammonia-2014", "asme-a13-1")}
AMMONIA = {"service": "HPL", "state": "liquid", "pressure": "185 psig"}
WATER = {"contents": "WATER", "scheme": "asme-a13-1"}
DPI = 100


def film(base: Base, color: str = "") -> Stock:
    return replace(load_shop().stocks["letter"], base=base, color=color, width=700.0)


def nested(stock: Stock, **fields: object) -> SheetPlan:
    spec = PipeMarker.model_validate(
        {"pipe": "NPS 1", "covering": 0, "flow": "right", "letter_height": "0.75 in", **fields}
    )
    plans, _ = plan(spec, SCHEMES, "ammonia-2014")
    part = on_stock(compose(plans[0].design, default_typefaces()).parts[0], stock)
    group, _ = plan_sheets("film-1", (stock,), PartRole.FILM, "film", [Wanted("A", part, 1)])
    return group


def plates(group: SheetPlan, folder: Path) -> dict[str, np.ndarray]:
    """Every plate as the share of full ink, cropped to the marker's trim."""
    setter = Typesetter(default_typefaces().text)
    document = assemble(group, SheetText("t", ()), Printer(), setter)
    file = folder / "sheet.pdf"
    file.write_bytes(pdf.write(document))
    command = ["gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=tiffsep", f"-r{DPI}"]
    subprocess.run([*command, f"-o{folder / 'p.tif'}", str(file)], check=True)
    placed = group.sheets[0].placed[0]
    size = group.parts["A"].size
    width, height = (size.height, size.width) if placed.turned else (size.width, size.height)
    box = Rect(placed.x, placed.y, width, height).grown(-1.0)
    scale = DPI / 25.4
    left, top = round(box.x * scale), round(box.y * scale)
    right, bottom = round(box.right * scale), round(box.bottom * scale)
    found = {}
    for path in folder.glob("p(*).tif"):
        plate = 1 - np.asarray(Image.open(path).convert("L").crop((left, top, right, bottom))) / 255
        found[path.stem.removeprefix("p(").removesuffix(")")] = plate
    return found


needs_gs = pytest.mark.skipif(shutil.which("gs") is None, reason="ghostscript is not installed")


@pytest.mark.tools
@needs_gs
def test_on_clear_film_every_color_stands_on_unbroken_white(tmp_path: Path) -> None:
    found = plates(nested(film(Base.CLEAR), **AMMONIA), tmp_path)
    assert found["White"].min() > 0.99
    colors = [found[name] for name in ("safety orange", "safety yellow", "safety red")]
    # One color everywhere and never two: each is cut out of the one below.
    edge = 3 / DPI
    assert np.mean(np.abs(sum(colors) - 1) < 0.01) > 1 - edge


@pytest.mark.tools
@needs_gs
def test_a_white_legend_is_the_white_showing_through(tmp_path: Path) -> None:
    found = plates(nested(film(Base.DARK), **WATER), tmp_path)
    assert found["White"].min() > 0.99
    share = (found["safety green"] < 0.01).mean()
    assert 0.03 < share < 0.4  # the letters and arrows are open in the field


@pytest.mark.slow
@pytest.mark.tools
@needs_gs
def test_film_of_the_fields_color_is_not_printed_with_it(tmp_path: Path) -> None:
    found = plates(nested(film(Base.COLORED, "safety orange"), **AMMONIA), tmp_path)
    assert "safety orange" not in found
    bands = (found["safety yellow"] > 0.5) | (found["safety red"] > 0.5)
    # White lies under the bands and nowhere else.
    assert np.mean(bands == (found["White"] > 0.5)) > 0.99
    assert (found["Black"] > 0.5).mean() > 0.03


def test_film_of_another_color_is_treated_as_dark() -> None:
    group = nested(film(Base.COLORED, "safety blue"), **AMMONIA)
    part = group.parts["A"]
    inks = {shape.ink.name for shape in part.art if shape.ink is not None}
    assert "safety orange" in inks
    assert part.white


def test_white_film_prints_as_ever() -> None:
    part = nested(film(Base.WHITE), **WATER).parts["A"]
    assert part.white == ()
    paper = [
        shape
        for shape in part.art
        if isinstance(shape, Fill) and shape.ink is not None and shape.ink.role is InkRole.PAPER
    ]
    assert paper
    assert not any(shape.overprint for shape in paper)  # a white legend knocks out


def test_an_engraved_tag_has_its_words_as_contours_and_no_print() -> None:
    stock = replace(load_shop().stocks["tag-24x48in"], engraved=True)
    spec = ValveTag.model_validate({"kind": "valve", "tag": "HV-101", "service": "LSS"})
    (made,), _ = plan(spec, SCHEMES, "ammonia-2014")
    printed = compose(made.design, default_typefaces()).parts[0]
    part = on_stock(printed, stock)
    assert part.art == ()
    assert part.engraving is not None
    # H V - 1 0 1 and L S S: one outer contour each, and the counter of the 0.
    assert len(part.engraving.contours) == 9 + 1
    layers = cut_layers([(part, Affine())], 0.0, Printer())
    assert [layer.step for layer in layers] == [Step.ENGRAVE, Step.HOLE, Step.THROUGH_CUT]
