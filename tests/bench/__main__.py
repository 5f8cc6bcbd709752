"""`make bench`: every benchmark, one after the other.

    python -m tests.bench [--instances FOLDER] [--counts 200 2000 ...] [--xlsx 200000]
        [--own 2000 ...] [--no-peer]

The folder holds the nester's instances from the literature, see `nest_bench`.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
BENCHES = ("pipeline_bench", "pdf_bench", "nest_bench", "page_bench", "preview_bench")


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--instances", type=Path)
    asked, of_the_pipeline = parser.parse_known_args()
    of_the_nester = ["--instances", str(asked.instances.resolve())] if asked.instances else []
    given = {"pipeline_bench": of_the_pipeline, "nest_bench": of_the_nester}
    codes = []
    for name in BENCHES:
        arguments = given.get(name, [])
        print(f"== {name}", flush=True)
        command = [sys.executable, "-m", f"tests.bench.{name}", *arguments]
        codes.append(subprocess.run(command, cwd=HERE.parents[1], check=False).returncode)
    return max(codes)


if __name__ == "__main__":
    sys.exit(main())
