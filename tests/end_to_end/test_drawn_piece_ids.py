"""Ids on pieces, read back from the rendered sheet by a library of others (zxing-cpp).

The order has every kind of marker, every size row of the ammonia table and both kinds of field.
Print size is 200 dpi, where a module has three to four pixels; a phone at arm's length sees
0.16 mm a pixel (from the camera described in `layouts.face.piece_id`), about 160 dpi.
"""

from __future__ import annotations

import csv
import io
import itertools
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image, ImageFilter

from layouts.order.order import Order
from render.job import JobFolder, build
from render.lists import Given
from render.read import read

PRINT, PHONE = 200, 160  # dpi
HEAD = 'title = "Ids"\nstocks = { film = "sheet-24x48in" }\npiece_id = "both"\n'
PIPE = 'kind = "pipe"\nstate = "liquid"\npressure = "185 psig"\nflow = "right"\n'
# Outside diameters of the five rows of the ammonia table; the lower two need some length.
QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
ROWS = (
    ("HPL", "1 in", 'length = "14 in"'),
    ("CD", "1.9 in", 'length = "17 in"'),
    ("TSS", "4.5 in", ""),
    ("LIC", "8.625 in", "lines = 2"),
    ("SCL", "12.75 in", 'lines = 2\nlength = "46 in"'),
)
MORE = (
    'kind = "pipe"\nservice = "OD"\nstate = "liquid"\nlevel = "low"\nflow = "left"\nod = "1.9 in"\n'
    'wrap = true\nlength = "17 in"',
    'kind = "pipe"\nservice = "RV"\nstate = "vapor"\nlevel = "low"\nflow = "up"\nod = "5 in"\n'
    'environment = { surface = "180 F" }',
    'kind = "pipe"\nscheme = "asme-a13-1"\nlegend = "CHILLED GLYCOL"\ncontents = "glycol water"\n'
    'flow = "right"\nod = "3 in"\nlength = "26 in"',
    'kind = "equipment"\nname = "HIGH PRESSURE RECEIVER"\ntag = "HPR-1"\nlevel = "high"',
    'kind = "equipment"\nname = "OIL POT"\ntag = "OP-1"\nlevel = "low"\nsmall = true\n'
    'viewing_distance = "25 ft"',
    'kind = "valve"\ntag = "HV-101"\nfunction = "KING VALVE"\nemergency = true\nservice = "HPL"',
    'kind = "valve"\ntag = "HV-118"\nfunction = "LIQUID MAKEUP STOP"',
    'kind = "valve"\ntag = "HV-7"\nshape = "round"\nviewing_distance = "12 ft"',
)


def order_of(tmp_path: Path, head: str = HEAD, quantity: int = 1) -> Order:
    markers = [f'service = "{code}"\nod = "{od}"\n{PIPE}{more}' for code, od, more in ROWS]
    places = f'positions = [{{ qty = {quantity}, area = "Dock"'
    text = head + "".join(
        f'\n[[markers]]\n{each}\n{places}, line = "L-{n}" }}]\n'
        for n, each in enumerate((*markers, *MORE), start=1)
    )
    path = tmp_path / "order.toml"
    path.write_text(text)
    reading = read(path)
    assert reading.order is not None, reading.findings
    return reading.order


def job_of(order: Order, tmp_path: Path) -> JobFolder:
    accepted = [{"code": code, "reason": "made for a test of ids"} for code in ACCEPT]
    order = Order.model_validate({**order.__dict__, "accept": accepted})
    return build(order, Given().options(tmp_path))


ACCEPT = ("level-straddles",)


def pages_of(job: JobFolder, tmp_path: Path, dpi: int) -> Iterator[Image.Image]:
    for name, data in job.files.items():
        if name.startswith(("print/film", "print/tag")) and name.endswith(".pdf"):
            path = tmp_path / Path(name).name
            path.write_bytes(data)
            stem = tmp_path / f"{path.stem}-{dpi}"
            subprocess.run(
                ("pdftoppm", "-gray", "-r", str(dpi), "-png", str(path), str(stem)), check=True
            )
    for image in sorted(tmp_path.glob(f"*-{dpi}-*.png")):
        with Image.open(image) as opened:
            yield opened.copy()


def decoded(pages: Iterator[Image.Image], dpi: int) -> set[str]:
    """Every QR code of the pages, looked for in windows that overlap by more than a code."""
    side, step = round(dpi * 3.0), round(dpi * 2.0)
    found: set[str] = set()
    for page in pages:
        for x, y in itertools.product(range(0, page.width, step), range(0, page.height, step)):
            window = page.crop((x, y, min(x + side, page.width), min(y + side, page.height)))
            codes = zxingcpp.read_barcodes(window, QR)
            found |= {code.text for code in codes}
    return found


def printed_ids(job: JobFolder) -> set[str]:
    rows = csv.DictReader(io.StringIO(job.files["pieces.csv"].decode()))
    return {row["id"] for row in rows}


@pytest.mark.slow
@pytest.mark.tools
def test_every_code_is_read_at_print_size_and_by_a_phone(tmp_path: Path) -> None:
    job = job_of(order_of(tmp_path), tmp_path)
    assert [
        each.sentence() + each.place.marker for each in job.findings if each.code == "piece-id-room"
    ] == []
    wanted = printed_ids(job)
    assert len(wanted) == len(ROWS) + len(MORE)
    assert decoded(pages_of(job, tmp_path, PRINT), PRINT) == wanted
    blurred = (
        page.filter(ImageFilter.GaussianBlur(0.5)).rotate(7, expand=True, fillcolor=255)
        for page in pages_of(job, tmp_path, PHONE)
    )
    assert decoded(blurred, PHONE) == wanted
