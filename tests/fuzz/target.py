"""A reader under fuzzing: cases are run and judged as those of the corpus are."""

from __future__ import annotations

import os
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path

from render.files.overwrite import MANIFEST
from tests.corpus.judging import BYTES, end_of, original, stop
from tests.corpus.originals import JOB, READERS, lay
from tests.corpus.spoil import spoil

LARGEST = 1 << 20  # bytes of a case
_STARTS = {".xlsx": b"PK", ".ods": b"PK", ".pdf": b"%PDF", ".xml": b"<", ".json": b"{"}


class Target:
    """Runs one reader's command until the time is up, and keeps a file of each kind of fault."""

    def __init__(self, name: str, seconds: float, kept: Path) -> None:
        self._reader = next(each for each in READERS if each.name == name)
        self._folder = Path(tempfile.mkdtemp())
        self._sound, self._place = self._folder / "sound", self._folder / "case"
        self._sound.mkdir()
        lay(self._sound)
        self.seeds = [original(self._reader, each, self._sound) for each in self._reader.originals]
        self._kept = kept
        self._kept.mkdir(parents=True, exist_ok=True)
        self._cases = 0
        self._kinds: set[str] = set()
        signal.signal(signal.SIGPROF, stop)
        resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
        self._end = time.monotonic() + seconds

    def write_seeds(self) -> Path:
        """The sound files in a folder, for a fuzzer that adds its own to it."""
        folder = self._folder / "seeds"
        folder.mkdir()
        for number, data in enumerate(self.seeds):
            (folder / str(number)).write_bytes(data)
        return folder

    def spoiled(self, dice: random.Random, data: bytes) -> bytes:
        """The bytes changed as the corpus changes them."""
        try:
            return spoil(dice, data, self.seeds)[:LARGEST]
        except Exception:  # what was a package is none any more, in one of zipfile's many ways
            return spoil(dice, dice.choice(self.seeds), self.seeds)[:LARGEST]

    def run(self, data: bytes) -> None:
        """Judge the command on these bytes; ends the process once the time is up."""
        if time.monotonic() > self._end:
            self._finish()
        self._cases += 1
        names = self._reader.originals
        name = next((each for each in names if _begins_so(each, data)), names[0])
        self._place.mkdir()
        os.chdir(self._place)
        sealed = self._reader.folder == JOB and name != MANIFEST
        end = end_of(self._reader, name, data, self._sound, self._place, sealed)
        os.chdir(self._folder)
        shutil.rmtree(self._place)
        for fault in end.faults:
            self._keep(re.sub(r"\d[\d.]*", "0", fault), fault, data, name)

    def _keep(self, kind: str, fault: str, data: bytes, name: str) -> None:
        if kind in self._kinds:
            return
        self._kinds.add(kind)
        path = self._kept / f"{len(self._kinds)}-{name}"
        path.write_bytes(data)
        print(f"{path}: {fault}", flush=True)

    def _finish(self) -> None:
        """Leave at once: the fuzzer's own end would count as one more fault."""
        shutil.rmtree(self._folder, ignore_errors=True)
        print(f"{self._reader.name}: {self._cases} cases, {len(self._kinds)} kinds of fault")
        sys.stdout.flush()
        os._exit(1 if self._kinds else 0)


def _begins_so(name: str, data: bytes) -> bool:
    """Whether bytes begin as a file of that name does, where it always begins so."""
    start = _STARTS.get(Path(name).suffix)
    return start is not None and data.startswith(start)
