"""How many orders fit this machine at once: by its cores, and by the memory that is free."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from render.processes import core_count

_MEMORY = Path("/proc/meminfo")
# Bytes that any order takes, and bytes for each byte of its file; a workbook is packed. A list of
# 20,000 markers in 1.9 MB took 260 MB at its peak.
_BASE, _EACH, _EACH_PACKED = 150 << 20, 120, 600
_PACKED = frozenset({".xlsx", ".xlsm", ".ods"})


def fitting_processes(works: Iterable[Iterable[Path]]) -> int:
    """Pieces of work, each by its files, to run side by side; at least one."""
    needs = sorted((sum(map(_need, paths)) for paths in works), reverse=True)
    free = _free_memory()
    most = min(core_count(), len(needs))
    while most > 1 and free is not None and sum(needs[:most]) > free:
        most -= 1
    return max(1, most)


def _need(path: Path) -> int:
    size = path.stat().st_size if path.is_file() else 0
    return _BASE + size * (_EACH_PACKED if path.suffix.lower() in _PACKED else _EACH)


def _free_memory() -> int | None:
    """Bytes that can be had without swapping; None where the system does not say."""
    try:
        lines = _MEMORY.read_text(encoding="ascii").splitlines()
    except OSError:
        return None
    found = (line.split() for line in lines if line.startswith("MemAvailable:"))
    return next((int(words[1]) << 10 for words in found), None)
