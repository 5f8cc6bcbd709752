"""Inspection of a large file in a fresh process, so that what it takes in memory goes with it."""

from __future__ import annotations

import gc
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

from render.preflight.inspection import inspect
from render.preflight.limits import unlimited
from render.preflight.report import Report, as_dict, report_from
from render.preflight.rules import Rules

_ROOT = Path(__file__).resolve().parents[2]


def inspect_apart(data: bytes, rules: Rules) -> Report:
    """The report of `inspect` on a file that we have written ourselves.

    If the process is killed, for lack of memory for example, this one does the work.
    """
    done = subprocess.run(
        fresh_command("render.preflight.fresh_process", rules),
        input=data,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=fresh_environment(),
        check=False,
    )
    if done.returncode:
        return inspect(data, rules=rules, budget=unlimited())
    return report_from(json.loads(done.stdout))


def fresh_command(module: str, rules: Rules) -> list[str]:
    """What runs a module of ours in a fresh process; the rules are its first argument."""
    return [sys.executable, "-m", module, json.dumps(asdict(rules))]


def fresh_environment() -> Mapping[str, str]:
    """The environment in which a fresh process finds our modules."""
    places = [str(_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(places)}


def main() -> None:
    """Judge the file on standard input, and print the report as JSON."""
    gc.disable()
    data = sys.stdin.buffer.read()
    rules = Rules(**json.loads(sys.argv[1]))
    print(json.dumps(as_dict(inspect(data, rules=rules, budget=unlimited()))))


if __name__ == "__main__":
    main()
