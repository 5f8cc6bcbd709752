"""A run of cases in a process of its own: ``python -m tests.corpus.judging FROM TO [READER ...]``.

Prints a line of JSON for each case: reader, number, exit code, faults, CPU seconds and peak
memory. The reader's name and the number seed the dice of a case, so that any case can be made
again:

    python -m tests.corpus.judging 17 18 scheme

Numbers below zero are the sound files as they are.
"""

from __future__ import annotations

import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import unicodedata
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from typer.testing import CliRunner

from render.cli import app
from render.files.atomic import manifest
from render.files.overwrite import MANIFEST
from tests.corpus.originals import JOB, LIST, OUT, READERS, Reader, lay
from tests.corpus.spoil import spoil

# The budget of a small file, whatever is in it: 2 CPU seconds and 300 MB. CPU time does not count
# waiting, but a slow or crowded processor needs up to four times as much of it for the same work.
CPU_S, SLOW = 2.0, 4.0
MOST_MB = 300.0  # resident, with every library that any case has loaded
LIMIT_S = 20.0  # after which a case is ended
BYTES = 3 << 30  # of addresses; compiled kernels and libraries take a third of it
_ENDINGS = ("", ".pdf", ".json", ".csv")
_WAYS = {"Cc", "Cf", "Cs", "Zl", "Zp"}  # categories of Unicode that steer and are not seen


@dataclass(frozen=True, slots=True)
class End:
    """How a case ended: exit code, what is wrong with that, and what it took."""

    code: int
    faults: list[str]
    cpu_s: float
    peak_mb: float


class TooLongError(BaseException):
    """A case has used its time up; no handler of errors may catch it."""


def stop(_number: int, _frame: FrameType | None) -> None:
    """Handler of the signal that ends a case."""
    raise TooLongError


def judged(reader: Reader, number: int, sound: Path, place: Path) -> End:
    """How the command that reads this case ends."""
    dice = random.Random(f"{reader.name}/{number}")
    name = reader.originals[number % len(reader.originals)]
    data = original(reader, name, sound)
    others = [each.read_bytes() for each in sorted(sound.iterdir()) if each.is_file()]
    data = spoil(dice, data, others) if number >= 0 else data
    sealed = reader.folder == JOB and name != MANIFEST and dice.random() < 0.8
    return end_of(reader, name, data, sound, place, sealed)


def original(reader: Reader, name: str, sound: Path) -> bytes:
    """A sound file of a reader."""
    inside = sound / reader.folder / name
    return (inside if inside.exists() else sound / name).read_bytes()


def end_of(
    reader: Reader, name: str, data: bytes, sound: Path, place: Path, sealed: bool = False
) -> End:
    """How the reader's command ends on these bytes in place of a sound file, in an empty folder.

    ``sealed``: the manifest of the job vouches for them.
    """
    shutil.copy(sound / LIST, place / LIST)
    if reader.folder:
        shutil.copytree(sound / reader.folder, place / reader.folder)
    inside = place / reader.folder / name
    path = inside if reader.folder and inside.exists() else place / f"in-{name}"
    path.write_bytes(data)
    if sealed:
        _seal(place / JOB)
    before, spent = _under(place), _cpu_s()
    _forget_peak()
    code, said, fault = _run([word.replace("{}", path.name) for word in reader.words])
    cpu_s, peak = _cpu_s() - spent, _peak_mb()
    faults = [fault] if fault else []
    if cpu_s > CPU_S * SLOW:
        faults.append(f"{cpu_s:.1f} CPU seconds")
    if peak > MOST_MB:
        faults.append(f"{peak:.0f} MB")
    if code not in (0, 1, 2):
        faults.append(f"exit code {code}")
    if "Traceback" in said or "panicked" in said:
        faults.append("a traceback")
    if raw := sorted({c for c in said if c != "\n" and unicodedata.category(c) in _WAYS}):
        faults.append(f"raw characters {raw}")
    wanted = {OUT + ending for ending in _ENDINGS} if code != 2 else set()
    left = {each for each in _under(place) - before if each.split("/")[0] not in wanted}
    if left or before - _under(place):
        faults.append(f"files {sorted(left)}, gone {sorted(before - _under(place))}")
    if code == 2 and not said.strip():
        faults.append("refused without a word")
    return End(code, faults, cpu_s, peak)


def _cpu_s() -> float:
    """CPU seconds of this process and of the children that it waited for."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def _forget_peak() -> None:
    """Begin the measure of memory again (proc(5), clear_refs: 5 resets the peak)."""
    with suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def _peak_mb() -> float:
    """Peak resident memory since the measure began; that of a child, if it was ever larger."""
    lines = Path("/proc/self/status").read_text().splitlines()
    own = [int(line.split()[1]) for line in lines if line.startswith("VmHWM:")]
    return max(*own, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss) / 1024


def _seal(job: Path) -> None:
    """Let the manifest vouch for the files as they are now, so that they are read."""
    names = sorted(_under(job) - {MANIFEST})
    files = {name: (job / name).read_bytes() for name in names if (job / name).is_file()}
    (job / MANIFEST).write_bytes(manifest(files))


def _under(place: Path) -> set[str]:
    return {each.relative_to(place).as_posix() for each in place.rglob("*")}


def _run(words: list[str]) -> tuple[int, str, str]:
    """Exit code, all that is printed, and what ended the command if it did not end by itself."""
    signal.setitimer(signal.ITIMER_PROF, LIMIT_S)
    try:
        result = CliRunner().invoke(app, words)
    except TooLongError:
        return 0, "", f"more than {LIMIT_S} CPU seconds"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    error = result.exception
    if error is None or isinstance(error, SystemExit):
        return result.exit_code, result.output, ""
    place = error.__traceback__
    while place is not None and place.tb_next is not None:
        place = place.tb_next
    where = f"{place.tb_frame.f_code.co_filename}:{place.tb_lineno}" if place else ""
    return result.exit_code, result.output, f"{type(error).__name__}: {error} at {where}"


def main(first: int, last: int, names: list[str]) -> None:
    """Judge the cases of the readers named, or of all, and print how they end."""
    signal.signal(signal.SIGPROF, stop)
    with tempfile.TemporaryDirectory() as folder:
        sound = Path(folder) / "sound"
        sound.mkdir()
        lay(sound)
        resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
        for reader in READERS:
            if names and reader.name not in names:
                continue
            for number in range(first, last):
                place = Path(folder) / "case"
                place.mkdir()
                os.chdir(place)
                end = judged(reader, number, sound, place)
                took = round(end.cpu_s, 2), round(end.peak_mb)
                print(json.dumps([reader.name, number, end.code, end.faults, *took]), flush=True)
                os.chdir(folder)
                shutil.rmtree(place)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:])
