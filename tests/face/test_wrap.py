"""A wrap is laid on a cylinder and read from the front and from the back.

The projection is plain geometry: a point at angle t from the reader's axis shows at R sin t.
"""

from __future__ import annotations

import io
import math
import shutil
import subprocess

import numpy as np
import pytest
from PIL import Image

from layouts.drawing import Rect, Size
from layouts.drawing.document import Drawn, Fill, Layer, Page, Shape
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.face import Face, compose
from layouts.face.wrap import opposite
from layouts.order.order import PipeMarker
from layouts.plan import plan
from layouts.plan.design import Arrow, Element
from layouts.schemes.loader import load_scheme
from layouts.schemes.model import ElementKind
from render.read.fonts import default_typefaces
from render.write import png

PX_PER_MM = 6


def wrapped_face(**fields: object) -> Face:
    spec = PipeMarker.model_validate(
        {
            "service": "HPL",
            "state": "liquid",
            "pressure": "185 psig",
            "pipe": "NPS 1-1/4",
            "covering": 0,
            "wrap": True,
            **fields,
        }
    )
    plans, _ = plan(spec, {"ammonia-2014": load_scheme("ammonia-2014")}, "ammonia-2014")
    return compose(plans[0].design, default_typefaces())


def blank(face: Face) -> np.ndarray:
    part = face.parts[0]
    size = Size(part.size.width, part.size.height)
    box = Rect(0, 0, size.width, size.height)
    page = Page("wrap", "wrap", size, box, box, (Layer("Print", part.art),))
    data = png.write(page, {}, width_px=round(size.width * PX_PER_MM))
    return np.asarray(Image.open(io.BytesIO(data)).convert("L"))


def seen(face: Face, from_behind: bool, height: float = 0.0, span: float = 0.98) -> np.ndarray:
    """What a reader sees of the wrapped blank on a horizontal pipe, looking level or from above.

    The underlap lies beneath; after it y runs from the seam underneath, up the far side, over
    the top at half the girth, and down the side of the reader in front. ``height`` is the angle
    of the eye above the pipe's axis, ``span`` the part of the pipe's width that is looked at.
    """
    wrap = face.design.wrap
    assert wrap is not None
    flat = blank(face)
    radius = wrap.girth / (2 * math.pi)
    rows = []
    for screen in np.linspace(-span, span, round(2 * span * radius * PX_PER_MM)):
        below_top = math.acos(-screen) - height  # angle from the top of the pipe, 0 at the top
        along = below_top * radius
        y = wrap.girth / 2 - along if from_behind else wrap.girth / 2 + along
        rows.append(flat[min(flat.shape[0] - 1, round((wrap.overlap + y) * PX_PER_MM))])
    view = np.stack(rows)
    return view[:, ::-1] if from_behind else view


def read_text(view: np.ndarray) -> str:
    buffer = io.BytesIO()
    black_alone = np.where(view < 60, 0, 255).astype(np.uint8)
    Image.fromarray(black_alone).save(buffer, "PNG")
    done = subprocess.run(
        ["tesseract", "-", "-", "--psm", "6"],
        input=buffer.getvalue(),
        capture_output=True,
        check=True,
    )
    return done.stdout.decode()


def arrow_points_right(view: np.ndarray) -> bool:
    """The head is the tall end of the first dark shape from the left."""
    dark = (view < 60).sum(axis=0)
    columns = np.flatnonzero(dark > 0)
    end = next(i for i in range(len(columns) - 1) if columns[i + 1] - columns[i] > PX_PER_MM)
    shape = dark[columns[0] : columns[end] + 1]
    half = len(shape) // 2
    return bool(shape[half:].max() > shape[:half].max())


@pytest.mark.tools
@pytest.mark.skipif(shutil.which("tesseract") is None, reason="tesseract is not installed")
@pytest.mark.parametrize("from_behind", [False, True])
@pytest.mark.parametrize("height", [math.radians(45), math.radians(-45)])
def test_legend_is_upright_from_both_sides(from_behind: bool, height: float) -> None:
    # Four lines stand 45 and 135 degrees from the top on either side; the eye meets each squarely.
    face = wrapped_face(flow="right")
    assert face.design.wrap is not None
    assert face.design.wrap.lines == 4
    text = read_text(seen(face, from_behind, height, span=0.6))
    assert "AMMONIA" in text
    assert "HPL" in text


@pytest.mark.parametrize("flow", ["right", "left"])
def test_arrow_is_true_from_both_sides(flow: str) -> None:
    face = wrapped_face(flow=flow)
    # Seen from behind, what flows to the right in front flows to the left.
    assert arrow_points_right(seen(face, from_behind=False)) is (flow == "right")
    assert arrow_points_right(seen(face, from_behind=True)) is (flow == "left")


def test_a_rising_pipe_has_equal_lines_all_round() -> None:
    face = wrapped_face(run="vertical", flow="up")
    wrap = face.design.wrap
    assert wrap is not None
    assert not wrap.turned_half
    # n = floor(pi D / 1.5 h): derived from lines every 1.5 letter heights.
    assert wrap.lines == math.floor(wrap.girth / (1.5 * face.design.letter_height))


def test_blank_is_girth_plus_overlap() -> None:
    face = wrapped_face(flow="right")
    wrap = face.design.wrap
    assert wrap is not None
    # ASME B36.10M: NPS 1-1/4 has an outside diameter of 1.660 in.
    assert wrap.girth == pytest.approx(math.pi * 1.660 * 25.4)
    assert face.parts[0].size.height == pytest.approx(wrap.girth + wrap.overlap)


def test_top_of_pipe_lies_between_the_lines_of_both_sides() -> None:
    face = wrapped_face(flow="right")
    wrap = face.design.wrap
    assert wrap is not None
    # Half the girth past the underlap: the far half of the lines before it, the near half after.
    assert face.parts[0].top_of_pipe == pytest.approx(wrap.overlap + wrap.girth / 2)
    assert wrapped_face(run="vertical", flow="up").parts[0].top_of_pipe is None


def test_the_far_side_keeps_the_band_behind_its_arrow() -> None:
    ink, band = Ink("Black", Lab(15, 0, 0), InkRole.BLACK), Ink("second", Lab(80, 0, 80))
    arrow = Element(ElementKind.ARROW, "", ink, 10.0, band, 8.0, Arrow.RIGHT)
    word = Element(ElementKind.LEGEND, "GAS", ink, 10.0)
    far = opposite((word, arrow))
    assert [element.word for element in far] == ["", "GAS"]
    assert far[0].arrow is Arrow.LEFT
    assert far[0].field == band


def is_letter(shape: Shape, middle: float, letter: float) -> bool:
    drawn = isinstance(shape, Fill) and shape.drawn is Drawn.LETTER
    return drawn and abs(shape.path.bounds().center.y - middle) < letter / 2


@pytest.mark.parametrize(("flow", "run"), [("right", "horizontal"), ("up", "vertical")])
def test_every_line_of_a_wrap_lies_in_the_middle_of_its_pitch(flow: str, run: str) -> None:
    face = wrapped_face(flow=flow, run=run)
    wrap = face.design.wrap
    assert wrap is not None
    words = [s for s in face.printed.art if isinstance(s, Fill) and s.path.count > 1]
    middles = sorted({round(s.path.bounds().center.y) for s in words})
    pitch = wrap.girth / wrap.lines
    expected = [wrap.overlap + (n + 0.5) * pitch for n in range(wrap.lines)]
    # Tails and round letters reach a little over their line.
    for middle in middles:
        assert min(abs(middle - each) for each in expected) < 0.2 * face.design.letter_height
    letter = face.design.letter_height
    for center in expected:
        boxes = [b for s in words if abs((b := s.path.bounds()).center.y - center) < letter / 2]
        # Flat capitals lie exactly in the middle, and the ends of a line are alike.
        assert min(abs(box.center.y - center) for box in boxes) < 0.02 * letter
        every = [
            b for s in face.printed.art if is_letter(s, middle, letter) for b in [s.path.bounds()]
        ]
        left, right = min(b.x for b in every), face.measures.length - max(b.right for b in every)
        assert min(left, right) == pytest.approx(0.55 * letter, abs=0.05 * letter)


def test_the_bands_of_a_wraps_side_are_one_without_seams() -> None:
    face = wrapped_face(flow="right")
    wrap = face.design.wrap
    assert wrap is not None
    bands = [
        s.path.bounds()
        for s in face.printed.art
        if isinstance(s, Fill) and s.path.count == 1 and s.drawn is Drawn.AREA
    ][1:]
    # Two bands, on the far half and on the near half: each as high as half the girth.
    assert [box.height for box in bands] == pytest.approx([wrap.girth / 2] * 4)
    assert {round(box.y, 3) for box in bands} == {
        round(wrap.overlap, 3),
        round(wrap.overlap + wrap.girth / 2, 3),
    }
    # The far half is turned: its bands are at the other end of the face.
    length = face.measures.length
    trim, field = face.printed.outline.bounds(), face.printed.art[0].path.bounds()
    for box, by in ((trim, 0.0), (field, 2.0)):
        assert (box.x, box.y) == pytest.approx((-by, -by))
        assert box.right == pytest.approx(length + by)
        assert box.bottom == pytest.approx(wrap.girth + wrap.overlap + by)
    far = sorted(box.x for box in bands if box.y < wrap.overlap + 1)
    near = sorted(length - box.right for box in bands if box.y > wrap.overlap + 1)
    assert far == pytest.approx(near)
    upright = wrapped_face(flow="up", run="vertical")
    turn = upright.design.wrap
    assert turn is not None
    whole = [
        s.path.bounds()
        for s in upright.printed.art
        if isinstance(s, Fill) and s.path.count == 1 and s.drawn is Drawn.AREA
    ][1:]
    assert [box.height for box in whole] == pytest.approx([turn.girth] * 2)
