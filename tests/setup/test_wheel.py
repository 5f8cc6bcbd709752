"""What is built for others to install is whole: it runs and holds its data."""

import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
ROOMS = ("layouts", "render")
FOLDERS = ("tests", "output_samples", ".ci")
FILES = (
    *("pipelegend.py", "pyproject.toml", "README.md", "DEVELOPERS.md", "CHANGELOG.md"),
    *("LICENSE", "NOTICE", "Makefile", ".gitignore"),
)
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))


def call(*words: str | Path, cwd: Path) -> str:
    """Run a program without the network's help and return what it prints."""
    done = subprocess.run(
        [str(word) for word in words],
        cwd=cwd,
        # pip's settings of this machine, if any, must not matter.
        env={"PATH": os.environ["PATH"], "PIP_CONFIG_FILE": os.devnull, "PIP_NO_INDEX": "1"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The sdist, and the wheel made from it."""
    return build_of(tmp_path_factory.mktemp("source"))


def build_of(copy: Path) -> tuple[Path, Path]:
    """Build in a copy: a build leaves traces in its folder."""
    for room in (*ROOMS, *FOLDERS):
        shutil.copytree(TOP / room, copy / room, ignore=shutil.ignore_patterns("__pycache__"))
    for name in FILES:
        shutil.copyfile(TOP / name, copy / name)  # with times of its own
    call(sys.executable, "-m", "build", "--no-isolation", "--outdir", "dist", cwd=copy)
    (sdist,) = copy.glob("dist/*.tar.gz")
    (wheel,) = copy.glob("dist/*.whl")
    return sdist, wheel


@pytest.mark.slow
def test_two_builds_are_equal_to_the_byte(built: tuple[Path, Path], tmp_path: Path) -> None:
    for first, second in zip(built, build_of(tmp_path), strict=True):
        assert first.name == second.name
        assert first.read_bytes() == second.read_bytes()


def test_the_sdist_holds_what_a_clone_holds(built: tuple[Path, Path]) -> None:
    with tarfile.open(built[0]) as archive:
        in_sdist = {name.partition("/")[2] for name in archive.getnames()}
    kept = {
        path.relative_to(TOP).as_posix()
        for folder in FOLDERS
        for path in (TOP / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert "tests/setup/test_wheel.py" in kept
    assert "output_samples/demo_plant.xlsx" in kept
    assert (kept | set(FILES)) - in_sdist == set()


@pytest.mark.slow
def test_the_wheel_runs_in_a_clean_environment(built: tuple[Path, Path], tmp_path: Path) -> None:
    """Only the dependencies are lent from here; pipelegend itself comes from the wheel."""
    clean = tmp_path / "clean"
    venv.create(clean, with_pip=False, symlinks=True)
    python = clean / "bin" / "python"
    call(
        *(sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", built[1]),
        cwd=tmp_path,
    )
    site = Path(
        call(python, "-c", "import sysconfig as s; print(s.get_path('purelib'))", cwd=clean).strip()
    )
    # A path file lends packages but not the path files among them: the editable install stays out.
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (site / "lent.pth").write_text("\n".join(sorted(lent)) + "\n", encoding="utf-8")

    where = call(
        python,
        "-c",
        "import layouts, pipelegend, render\n"
        "print(layouts.__file__, pipelegend.__file__, render.__file__)",
        cwd=tmp_path,
    )
    assert all(Path(name).is_relative_to(site) for name in where.split())
    assert "marker" in call(clean / "bin" / "pipelegend", "--help", cwd=tmp_path)
    version = PROJECT["project"]["version"]
    for command in ((clean / "bin" / "pipelegend",), (python, "-m", "pipelegend")):
        assert call(*command, "--version", cwd=tmp_path) == f"pipelegend {version}\n"


def test_sdist_and_wheel_hold_every_data_file(built: tuple[Path, Path]) -> None:
    data = {
        path.relative_to(TOP).as_posix()
        for room in ROOMS
        for path in (TOP / room).rglob("*")
        if path.suffix == ".toml" or path.name == "py.typed"
    }
    assert any(name.endswith(".toml") for name in data)
    with tarfile.open(built[0]) as archive:
        in_sdist = {name.partition("/")[2] for name in archive.getnames()}
    with zipfile.ZipFile(built[1]) as archive:
        in_wheel = set(archive.namelist())
    assert data - in_sdist == set()
    assert data - in_wheel == set()


def test_license_and_notice_travel_along(built: tuple[Path, Path]) -> None:
    with zipfile.ZipFile(built[1]) as archive:
        names = {Path(name).name for name in archive.namelist()}
    assert {"LICENSE", "NOTICE"} <= names
