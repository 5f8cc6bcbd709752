"""`make bench`: every benchmark, one after the other; what is there is run.

python -m tests.bench [--counts 200 2000 ...] [--xlsx 200000] [--no-peer]
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
# The pipeline takes the arguments given here; the others have their own defaults.
BENCHES = ("pipeline_bench", "pdf_bench", "nest_bench")


def main() -> int:
    codes = []
    for name in BENCHES:
        if not (HERE / f"{name}.py").is_file():
            continue
        arguments = sys.argv[1:] if name == BENCHES[0] else []
        print(f"== {name}", flush=True)
        command = [sys.executable, "-m", f"tests.bench.{name}", *arguments]
        codes.append(subprocess.run(command, cwd=HERE.parents[1], check=False).returncode)
    return max(codes)


if __name__ == "__main__":
    sys.exit(main())
