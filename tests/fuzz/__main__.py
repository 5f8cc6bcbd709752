"""Fuzz one reader for some seconds: ``python -m tests.fuzz READER SECONDS`` from the top folder.

READER is a name of ``tests.corpus.originals``; its command is run on changed files in this process
and judged as the corpus judges it. With ``atheris`` (Apache-2.0; ``pip install atheris``, Linux)
the changes are guided by the code that they reach, and half of them are those of the corpus;
without it all are. A file that fails is kept in ``build/fuzz/READER`` and what is wrong with it is
printed, each kind of fault once; the exit code is 1 if there is any.

This is no test: it takes as long as it is given, and finds something else each time.
"""

from __future__ import annotations

import importlib
import importlib.util
import random
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.fuzz.target import Target

_COUNTED = ["render", "layouts"]  # whose branches guide
_OF_THE_CORPUS = 0.5  # of the changes


def main(name: str, seconds: float) -> None:
    """Fuzz the reader of this name; the target ends the process."""
    atheris: Any = None
    if importlib.util.find_spec("atheris"):
        atheris = importlib.import_module("atheris")
        # Never left: commands import what they need when they run.
        atheris.instrument_imports(include=_COUNTED, enable_loader_override=False).__enter__()
    from tests.fuzz.target import Target

    kept = Path(__file__).resolve().parents[2] / "build" / "fuzz" / name.replace(" ", "-")
    target = Target(name, seconds, kept)
    if atheris is None:
        run_unguided(target)
    run_guided(atheris, target)


def run_unguided(target: Target) -> None:
    """Changes of the corpus, with dice that begin the same way each time."""
    dice = random.Random(0)
    while True:
        target.run(target.spoiled(dice, dice.choice(target.seeds)))


def run_guided(atheris: Any, target: Target) -> None:
    """Changes kept where they reach new code."""
    from tests.fuzz.target import LARGEST

    def changed(data: bytes, most: int, seed: int) -> bytes:
        dice = random.Random(seed)
        if dice.random() < _OF_THE_CORPUS:
            return target.spoiled(dice, data)[:most]
        return bytes(atheris.Mutate(data, most))

    folder = target.write_seeds()
    limits = [
        f"-max_len={LARGEST}",
        "-timeout=1000000",
        "-rss_limit_mb=0",
    ]  # the target has its own
    words = [
        sys.argv[0],
        *limits,
        "-verbosity=0",
        f"-artifact_prefix={folder.parent}/",
        str(folder),
    ]
    atheris.Setup(words, target.run, custom_mutator=changed)
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]))
