"""What a nest loads in a process of its own that had no compiler and no solver before."""

from __future__ import annotations

import subprocess
import sys


def compiler_and_solver_loaded(module: str, order: str) -> list[str]:
    """Those of numba and highspy that nesting the order loads; ``order`` is made in ``module``."""
    program = (
        "import sys\n"
        f"import {module} as made\n"
        "rooms = 'covering_program', 'fill_patterns', 'patterns.bars', 'patterns.kernels'\n"
        "for name in ('numba', 'highspy', *(f'layouts.nest.{room}' for room in rooms)):\n"
        "    for each in [m for m in sys.modules if m == name or m.startswith(name + '.')]:\n"
        "        del sys.modules[each]\n"
        "from layouts.nest import nest\n"
        f"nest({order})\n"
        "print(*sorted({'numba', 'highspy'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()
