"""The set-up scripts on a machine that lacks something: one clear sentence and exit code 2."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).resolve().parents[2] / ".ci"
# Program to Debian package, from Debian's own file lists (packages.debian.org, bookworm).
PACKAGES = {
    "gs": "ghostscript",
    "qpdf": "qpdf",
    "pdftoppm": "poppler-utils",
    "tesseract": "tesseract-ocr",
}


def run(
    script: str, *words: str, path: Path, cwd: Path, **variables: str
) -> subprocess.CompletedProcess[str]:
    """Run a set-up script with nothing but `path` to find programs in, so that apt is not there."""
    return subprocess.run(
        [str(SCRIPTS / script), *words],
        env={"PATH": str(path), **variables},
        cwd=cwd,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def program(path: Path, text: str) -> None:
    """Write a stand-in program of the shell's own words."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/bash\n{text}\n", encoding="utf-8")
    path.chmod(0o755)


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """An empty folder to stand for PATH."""
    folder = tmp_path / "bin"
    folder.mkdir()
    return folder


@pytest.mark.parametrize("words", [["test"], ["--install", "test"]])
def test_no_tool_at_all_gives_one_sentence(words: list[str], bare: Path, tmp_path: Path) -> None:
    done = run("check-tools", *words, path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    for name, package in PACKAGES.items():
        assert f"{name} (" in done.stderr
        assert f"apt package {package})" in done.stderr
    command = done.stderr.split('"')[1]
    assert command.removeprefix("sudo apt-get install ").split() == list(PACKAGES.values())


@pytest.mark.parametrize("lacking", sorted(PACKAGES))
def test_the_one_missing_tool_is_named_alone(lacking: str, bare: Path, tmp_path: Path) -> None:
    for name in set(PACKAGES) - {lacking}:
        program(bare / name, "exit 0")
    done = run("check-tools", "test", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert f"{lacking} (" in done.stderr
    assert f'"sudo apt-get install {PACKAGES[lacking]}"' in done.stderr
    assert not [name for name in set(PACKAGES) - {lacking} if f"{name} (" in done.stderr]


def test_missing_cairo_is_named(bare: Path, tmp_path: Path) -> None:
    program(tmp_path / ".venv/bin/python", "exit 1")
    done = run("check-tools", "--install", "cairo", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr == (
        "Missing here: cairo library (draws the PNG previews; apt package libcairo2): "
        'install with "sudo apt-get install libcairo2" and run make again.\n'
    )


def test_nothing_is_said_when_all_is_there(bare: Path, tmp_path: Path) -> None:
    program(tmp_path / ".venv/bin/python", "exit 0")
    for name in PACKAGES:
        program(bare / name, "exit 0")
    done = run("check-tools", "cairo", "test", path=bare, cwd=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.skipif(os.geteuid() != 0, reason="only root installs")
def test_a_failed_install_shows_what_apt_said(bare: Path, tmp_path: Path) -> None:
    program(bare / "apt-get", 'echo "E: Unable to locate package qpdf"; exit 100')
    for name in set(PACKAGES) - {"qpdf"}:
        program(bare / name, "exit 0")
    done = run("check-tools", "--install", "test", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    said, sentence = done.stderr.splitlines()
    assert said == "E: Unable to locate package qpdf"
    assert sentence.startswith("Missing here: qpdf (")


@pytest.mark.skipif(os.geteuid() != 0, reason="only root installs")
def test_root_installs_what_is_missing_and_looks_again(bare: Path, tmp_path: Path) -> None:
    """A stand-in apt-get that "installs" qpdf: it is asked for the missing package alone."""
    log = tmp_path / "asked"
    program(
        bare / "apt-get",
        f'echo "$*" >>"{log}"\n[ $1 = update ] && exit 100\nprintf "#!/bin/bash\\n" >"{bare}/qpdf"'
        f'\n/bin/chmod +x "{bare}/qpdf"',
    )
    for name in set(PACKAGES) - {"qpdf"}:
        program(bare / name, "exit 0")
    done = run("check-tools", "--install", "test", path=bare, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "Installing with apt: qpdf\n"
    asked = log.read_text(encoding="utf-8").splitlines()
    assert asked == ["update -qq", "install -y -qq --no-install-recommends qpdf"]


def test_an_unknown_group_is_refused(bare: Path, tmp_path: Path) -> None:
    done = run("check-tools", "tests", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr == 'check-tools: no group "tests", only cairo, test and browser.\n'


@pytest.mark.parametrize("answer", [None, "exit 1"], ids=["no python", "an old python"])
def test_no_python_that_is_new_enough(answer: str | None, bare: Path, tmp_path: Path) -> None:
    if answer:
        program(bare / "python3", answer)
    done = run("make-venv", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.startswith("Python 3.11 or newer is needed: ")
    assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / ".venv").exists()


def test_python_without_its_venv_package(bare: Path, tmp_path: Path) -> None:
    program(
        bare / "python3",
        'case "$2" in *ensurepip*) exit 1 ;; *venv*) echo python3.12-venv ;; esac',
    )
    done = run("make-venv", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr == (
        "Python's venv module is incomplete here: install it with "
        '"sudo apt-get install python3.12-venv" and run make again.\n'
    )


def test_an_environment_of_an_old_python_is_refused(bare: Path, tmp_path: Path) -> None:
    program(tmp_path / ".venv/bin/python", "exit 1")
    done = run("make-venv", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert "remove the folder .venv" in done.stderr


@pytest.mark.slow
def test_an_environment_without_pip_is_completed(bare: Path, tmp_path: Path) -> None:
    """What is left behind where python3-venv was missing, or made by hand without pip."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", tmp_path / ".venv"], check=True)
    assert not list(tmp_path.glob(".venv/bin/pip*"))
    done = run("make-venv", path=bare, cwd=tmp_path, PYTHON=sys.executable)
    assert (done.returncode, done.stderr) == (0, "")
    assert list(tmp_path.glob(".venv/bin/pip*"))


def test_a_missing_browser_is_told_and_is_its_own_group(bare: Path, tmp_path: Path) -> None:
    done = run("check-tools", "browser", path=bare, cwd=tmp_path)
    assert done.returncode == 2
    assert "apt package chromium" in done.stderr
    assert "chromium" not in run("check-tools", "test", path=bare, cwd=tmp_path).stderr
