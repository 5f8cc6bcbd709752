"""A run of cases in a process of its own: ``python -m tests.corpus.judging FROM TO [READER ...]``.

Prints a line of JSON for each case: reader, number, exit code, faults. The reader's name and the
number seed the dice of a case, so that any case can be made again:

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
from pathlib import Path
from types import FrameType

from typer.testing import CliRunner

from render.cli import app
from render.files.atomic import manifest
from render.files.overwrite import MANIFEST
from tests.corpus.originals import JOB, LIST, OUT, READERS, Reader, lay
from tests.corpus.spoil import spoil

CPU_S = 20.0  # for a case: each takes a fraction of a second
BYTES = 3 << 30  # of addresses; compiled kernels and libraries take a third of it
_ENDINGS = ("", ".pdf", ".json", ".csv")
_WAYS = {"Cc", "Cf", "Cs", "Zl", "Zp"}  # categories of Unicode that steer and are not seen


class TooLongError(BaseException):
    """A case has used its time up; no handler of errors may catch it."""


def _stop(_number: int, _frame: FrameType | None) -> None:
    raise TooLongError


def judged(reader: Reader, number: int, sound: Path, place: Path) -> tuple[int, list[str]]:
    """The exit code of the command that reads this case, and what is wrong with how it ends."""
    dice = random.Random(f"{reader.name}/{number}")
    name = reader.originals[number % len(reader.originals)]
    inside = Path(reader.folder) / name
    data = (sound / (inside if (sound / inside).exists() else name)).read_bytes()
    others = [each.read_bytes() for each in sorted(sound.iterdir()) if each.is_file()]
    shutil.copy(sound / LIST, place / LIST)
    if reader.folder:
        shutil.copytree(sound / reader.folder, place / reader.folder)
    path = place / inside if reader.folder and (place / inside).exists() else place / f"in-{name}"
    path.write_bytes(spoil(dice, data, others) if number >= 0 else data)
    if reader.folder == JOB and name != MANIFEST and dice.random() < 0.8:
        _seal(place / JOB)
    before = _under(place)
    code, said, fault = _run([word.replace("{}", path.name) for word in reader.words])
    faults = [fault] if fault else []
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
    return code, faults


def _seal(job: Path) -> None:
    """Let the manifest vouch for the files as they are now, so that they are read."""
    names = sorted(_under(job) - {MANIFEST})
    files = {name: (job / name).read_bytes() for name in names if (job / name).is_file()}
    (job / MANIFEST).write_bytes(manifest(files))


def _under(place: Path) -> set[str]:
    return {each.relative_to(place).as_posix() for each in place.rglob("*")}


def _run(words: list[str]) -> tuple[int, str, str]:
    """Exit code, all that is printed, and what ended the command if it did not end by itself."""
    signal.setitimer(signal.ITIMER_PROF, CPU_S)
    try:
        result = CliRunner().invoke(app, words)
    except TooLongError:
        return 0, "", f"more than {CPU_S} CPU seconds"
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
    signal.signal(signal.SIGPROF, _stop)
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
                code, faults = judged(reader, number, sound, place)
                print(json.dumps([reader.name, number, code, faults]), flush=True)
                os.chdir(folder)
                shutil.rmtree(place)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:])
