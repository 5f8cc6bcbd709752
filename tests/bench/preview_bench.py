"""Milliseconds of the page's live preview, and bytes of its first load.

    python -m tests.bench.preview_bench [--previews 200]

Each preview is another marker, so that none is answered from the last drawings. The server runs
in a process of its own and is asked over loopback, once with nothing else to do and once while
an order of the demo plant is made. The page's weight is what a browser fetches before the first
marker: the form, its styles, its script and its icon, none of it compressed.
"""

from __future__ import annotations

import argparse
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice, product
from pathlib import Path
from urllib.parse import urlencode, urljoin
from urllib.request import urlopen

from layouts.terms.pipes import STEEL

MEDIAN_MS, P95_MS, WEIGHT = 60.0, 200.0, 150_000
TOP = Path(__file__).resolve().parents[2]
_SERVICES = ("HTRS", "LTRS", "HPL", "HGD", "HSS", "LSS", "TSS")
_COVERINGS = ("0", "1", "1-1/2", "2", "3")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--previews", type=int, default=200)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as home, serving(Path(home)) as (server, address):
        weight = page_weight(address)
        markers = different_markers()
        measured(address, islice(markers, 20))  # fonts and schemes are loaded once
        worked = processor_ms(server)
        alone = measured(address, islice(markers, asked.previews))
        worked = (processor_ms(server) - worked) / len(alone)
        with ordering(Path(home)) as order:
            beside = measured(address, islice(markers, asked.previews), order)
    print(f"page before data: {weight / 1000:.1f} kB (goal under {WEIGHT / 1000:.0f})")
    for name, times in (("alone", alone), ("beside an order", beside)):
        median, p95 = statistics.median(times), statistics.quantiles(times, n=20)[-1]
        goal = f"goal {MEDIAN_MS:.0f} / {P95_MS:.0f}"
        print(f"{len(times)} previews {name}: median {median:.1f} ms, p95 {p95:.1f} ms ({goal})")
    print(f"of the processor {worked:.1f} ms a preview, the server's share")
    return int(weight > WEIGHT or median > MEDIAN_MS or p95 > P95_MS)


def different_markers() -> Iterator[str]:
    """Queries of markers that all differ, in an order that mixes large and small ones."""
    sizes = [size for size, dn, _ in STEEL if dn >= 50]
    for place, (psig, covering, size, service) in enumerate(
        product(range(5, 300, 7), _COVERINGS, sizes, _SERVICES)
    ):
        yield urlencode(
            {
                "kind": "pipe",
                "service": service,
                "state": ("liquid", "vapor", "both")[place % 3],
                "psig": psig,
                "flow": ("left", "right")[place % 2],
                "measure": "pipe",
                "pipe": f"NPS {size}",
                "covering_other": covering,
            }
        )


def measured(
    address: str, queries: Iterator[str], until: subprocess.Popen[bytes] | None = None
) -> list[float]:
    """Milliseconds of each preview, its picture's bytes read; as long as ``until`` runs."""
    times = []
    for query in queries:
        if until is not None and until.poll() is not None:
            break
        start = time.perf_counter()
        with urlopen(f"{address}/marker/preview?{query}") as answer:
            answer.read()
        times.append(1000 * (time.perf_counter() - start))
    return times


def page_weight(address: str) -> int:
    """Bytes of the form and all that it names."""
    page = f"{address}/marker?kind=pipe"
    with urlopen(page) as answer:
        text = answer.read().decode()
    named = re.findall(r'<(?:link|script)[^>]+(?:href|src)="([^"]+)"', text)
    total = len(text.encode())
    for each in named:
        with urlopen(urljoin(page, each.replace("&amp;", "&"))) as answer:
            total += len(answer.read())
    return total


def processor_ms(process: int) -> float:
    """Milliseconds that a process has kept a processor busy: fields 14 and 15 of proc(5) stat."""
    fields = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@contextmanager
def serving(folder: Path) -> Iterator[tuple[int, str]]:
    """The command in a process of its own; gives its id, and its address without a slash."""
    command = [sys.executable, "-u", "-m", "pipelegend", "web", "--no-browser"]
    process = subprocess.Popen(
        [*command, "--folder", str(folder / "kept")], stdout=subprocess.PIPE, text=True, cwd=TOP
    )
    assert process.stdout is not None
    said = process.stdout.readline()
    address = said.split()[-1].rstrip("/")
    try:
        yield process.pid, address
    finally:
        process.terminate()
        process.wait()
        process.stdout.close()


@contextmanager
def ordering(folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    """An order of the demo plant under way."""
    given = [TOP / "output_samples" / "demo_plant.xlsx", "-o", folder / "job", "--quiet"]
    process = subprocess.Popen([sys.executable, "-m", "pipelegend", "order", *map(str, given)])
    try:
        yield process
    finally:
        process.kill()
        process.wait()


if __name__ == "__main__":
    sys.exit(main())
