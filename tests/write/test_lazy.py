"""Writers load their heavy libraries when they write, not when they are imported."""

import subprocess
import sys

import pytest

HEAVY = ("ezdxf", "cairosvg", "numpy", "PIL")


@pytest.mark.parametrize(
    "name", ["render.write.dxf", "render.write.png", "render.write.svg", "render.color.gamut"]
)
def test_importing_a_writer_is_light(name: str) -> None:
    code = f"import sys, {name}; print(*(set({HEAVY!r}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
