"""Legends drawn as on a marker and read back by an independent reader."""

import io
import shutil
import subprocess

import numpy as np
import pytest
from PIL import Image

from layouts.drawing.lettering import outline
from render.read.fonts import default_typefaces
from tests.helpers.raw_outlines import picture

pytestmark = [
    pytest.mark.tools,
    pytest.mark.skipif(shutil.which("tesseract") is None, reason="tesseract is not installed"),
]


@pytest.mark.parametrize("weight", ["dark", "light"])
@pytest.mark.parametrize(
    "text", ["AMMONIA HTRS", "LIQ VAP HIGH", "BOOSTER DISCHARGE", "HV-118", "PSV-2047", "WAVY TYPE"]
)
def test_a_legend_is_read_back(weight: str, text: str) -> None:
    """Letters 32 pixels high, black on white."""
    letters = outline(getattr(default_typefaces(), weight), text, 10)
    ink = picture([letters.path], (-10, -20, letters.width + 20, 30), 3.2)
    file = io.BytesIO()
    Image.fromarray(np.uint8(255 - 255 * ink)).save(file, "PNG", dpi=(300, 300))
    done = subprocess.run(
        ["tesseract", "-", "-", "--psm", "7"],
        input=file.getvalue(),
        capture_output=True,
        check=True,
    )
    assert done.stdout.decode().strip() == text
