"""Pages read back by programs that share no code with the writers: poppler and tesseract."""

from __future__ import annotations

import os
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image


def raster(pdf: bytes, page: int, dpi: int) -> np.ndarray:
    """A page as poppler draws it: rows, columns, red green blue."""
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder, "in.pdf"), Path(folder, "page")
        source.write_bytes(pdf)
        span = ["-f", str(page), "-l", str(page), "-singlefile"]
        command = ["pdftoppm", "-r", str(dpi), *span, "-png", str(source), str(target)]
        subprocess.run(command, check=True, capture_output=True)
        return np.asarray(Image.open(target.with_suffix(".png")).convert("RGB"))


@cache
def words(pdf: bytes, page: int, width: float = 215.9) -> str:
    """The text of a page by OCR, of its left ``width`` mm; line ends made blanks."""
    dpi = 250
    with tempfile.TemporaryDirectory() as folder:
        picture = Path(folder, "page.png")
        seen = raster(pdf, page, dpi)[:, : round(width / 25.4 * dpi)]
        Image.fromarray(seen).save(picture)
        command = ["tesseract", str(picture), "-", "--psm", "4", "--dpi", str(dpi)]
        alone = {**os.environ, "OMP_THREAD_LIMIT": "1"}
        read = subprocess.run(command, check=True, capture_output=True, text=True, env=alone)
    return " ".join(read.stdout.split())
