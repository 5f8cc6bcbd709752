"""Commands never delete or overwrite what is not their own, whatever ``--force`` says."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from tests.helpers.command import MARKER, PIPE, VALVE, everything, run, write_list


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("made")
    write_list(home / "list.csv", [PIPE, VALVE])
    assert run("order", home / "list.csv", "-o", home / "job", "--quiet").exit_code == 0
    return home


@pytest.fixture
def home(made: Path, tmp_path: Path) -> Path:
    """A list and the job folder made of it."""
    shutil.copytree(made, tmp_path / "home")
    return tmp_path / "home"


def refused(home: Path, *words: str | Path) -> str:
    """What is told by a command that may change nothing."""
    before = everything(home)
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert everything(home) == before
    return result.stderr


@pytest.mark.parametrize("content", ["{}", "[]", '{"files": {}}', "no JSON", "[" * 99_999])
def test_a_manifest_of_another_program_gives_no_leave(home: Path, content: str) -> None:
    (home / "site").mkdir()
    (home / "site" / "manifest.json").write_text(content)
    (home / "site" / "index.html").write_text("precious")
    said = refused(home, "order", home / "list.csv", "-o", home / "site", "--force")
    assert "is not a job folder that this program wrote" in said


def test_files_that_were_put_into_a_job_folder_are_named(home: Path) -> None:
    (home / "job" / "NOTES.txt").write_text("ask about the riser")
    (home / "job" / "install" / "photo.jpg").write_bytes(b"a picture")
    said = refused(home, "order", home / "list.csv", "-o", home / "job", "--force")
    assert "NOTES.txt" in said
    assert "install/photo.jpg" in said


def test_a_file_that_was_changed_in_a_job_folder_is_named(home: Path) -> None:
    proof = home / "job" / "proof.pdf"
    proof.write_bytes(proof.read_bytes() + b"% signed")
    said = refused(home, "order", home / "list.csv", "-o", home / "job", "--force")
    assert "proof.pdf (changed since it was made)" in said


def test_what_a_file_manager_leaves_does_not_count(home: Path) -> None:
    (home / "job" / "Thumbs.db").write_bytes(b"of a file manager")
    assert run("order", home / "list.csv", "-o", home / "job", "--force").exit_code == 0
    assert not (home / "job" / "Thumbs.db").exists()


def test_a_folder_that_holds_an_input_is_refused(home: Path) -> None:
    shutil.copy(home / "list.csv", home / "job" / "list.csv")
    shutil.copy(home / "list.csv", home / "job" / "shop.toml")
    inside, job = home / "job" / "list.csv", home / "job"
    for words in (
        ("order", inside),
        ("order", job / "order.json"),
        ("order", home / "list.csv", "--shop", job / "shop.toml"),
        ("diff", job, home / "list.csv"),
        ("reprint", job, "HV-118"),
    ):
        assert "would be deleted with it" in refused(home, *words, "-o", job, "--force")


def test_the_folder_that_the_user_is_in_is_refused(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (home / "here").mkdir()
    monkeypatch.chdir(home / "here")
    for name in (".", home):
        said = refused(home, "order", home / "list.csv", "-o", name, "--force")
        assert "is the folder you are in" in said


def test_a_link_to_a_job_folder_stays_a_link(home: Path) -> None:
    (home / "link").symlink_to(home / "job")
    (home / "short.csv").write_text((home / "list.csv").read_text().partition("valve")[0])
    before = everything(home / "job")
    assert run("order", home / "short.csv", "-o", home / "link", "--force").exit_code == 0
    assert (home / "link").is_symlink()
    assert everything(home / "job") != before


def test_no_command_overwrites_a_file_unasked(home: Path) -> None:
    filled = home / "plant.xlsx"
    assert run("template", filled).exit_code == 0
    (home / "drawing.pdf").write_bytes(b"%PDF-1.7 a drawing")
    (home / "approval.json").write_text("{}")
    (home / "words.toml").write_text("[a]")
    approval = ("approve", home / "job", "--by", "A. Reader", "--date", "2026-01-31")
    for words in (
        ("template", filled),
        (*approval, "-o", home / "approval.json"),
        ("colors", "--target", home / "drawing.pdf"),
        (*MARKER, "-o", home / "drawing.pdf"),
        ("check", home / "list.csv", "--propose", home / "words.toml"),
        ("check", home / "list.csv", "--marked", filled),
    ):
        assert "already exists" in refused(home, *words)


def test_force_overwrites_a_file_of_the_same_kind_only(home: Path) -> None:
    """A list is no drawing, even where its name says so."""
    for name in ("a.pdf", "a.svg", "a.png", "a.dxf"):
        (home / name).write_bytes(b"PK, a workbook in truth")
        said = refused(home, *MARKER, "-o", home / name, "--force")
        assert "is not the kind of file that would be written" in said
        (home / name).unlink()
        assert run(*MARKER, "-o", home / name).exit_code == 0
        assert run(*MARKER, "-o", home / name, "--force").exit_code == 0
    (home / "a.xlsx").write_text("kind,service\n")
    assert "is not the kind" in refused(home, "template", home / "a.xlsx", "--force")
    (home / "shop.toml").write_text("no = such = thing")
    assert "is not the kind" in refused(home, "template", home / "shop.toml", "--force")
    approval = ("approve", home / "job", "--by", "A. Reader", "--date", "2026-01-31")
    (home / "package.json").write_text('{"name": "somebody else\'s"}')
    assert "is not the kind" in refused(home, *approval, "-o", home / "package.json", "--force")
    for _ in range(2):
        assert run(*approval, "-o", home / "approval.json", "--force").exit_code == 0


@pytest.mark.parametrize(
    "words",
    [
        ("template", "list.csv"),
        ("approve", "job", "--by", "A. Reader", "--date", "2026-01-31", "-o", "list.xlsx"),
        ("colors", "--target", "list.xlsx"),
        (*MARKER, "-o", "list.xlsx"),
        (*MARKER, "-o", "noext"),
        ("order", "list.csv", "-o", "new", "--remnants", "left.pdf"),
    ],
)
def test_the_suffix_of_every_file_is_checked(
    home: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(home)
    assert "does not end in ." in refused(home, *words, "--force")


def test_what_is_written_is_told(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(home)
    for words in (
        ("colors", "--target", "t.pdf"),
        ("check", "list.csv", "--propose", "words.toml", "--marked", "seen.xlsx"),
    ):
        result = run(*words)
        assert result.exit_code == 0
        for each in words:
            if Path(each).suffix and each != "list.csv":
                assert f"{each} written" in result.stdout


def test_files_and_folders_follow_the_umask(home: Path) -> None:
    old = os.umask(0o027)
    try:
        assert run("order", home / "list.csv", "-o", home / "new").exit_code == 0
        assert run(*MARKER, "-o", home / "m.pdf").exit_code == 0
    finally:
        os.umask(old)
    modes = {path.stat().st_mode & 0o777 for path in (home / "new").rglob("*") if path.is_file()}
    assert modes == {0o640}
    assert (home / "new").stat().st_mode & 0o777 == 0o750
    assert (home / "m.pdf").stat().st_mode & 0o777 == 0o640


LONG = "x" * 300  # more than any file system takes (255 bytes, as ext4 and NTFS do)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("list.csv/in", "list.csv is a file and no folder"),
        ("list.csv/deep/in", "list.csv is a file and no folder"),
        ("round", "Too many levels of symbolic links|its links go in a circle"),
        (LONG, "File name too long"),
        (f"{LONG}/in", "File name too long"),
    ],
)
@pytest.mark.skipif(os.name == "nt", reason="words of the system")
def test_a_place_where_nothing_can_be_is_told_before_any_work(
    home: Path, name: str, why: str
) -> None:
    for end in ("", ".pdf"):
        (home / f"round{end}").symlink_to(f"round-2{end}")
        (home / f"round-2{end}").symlink_to(f"round{end}")
    path = home / name
    for words in (
        ("order", home / "list.csv", "-o", path),
        ("order", home / "list.csv", "-o", path, "--remnants", home / "rest.csv"),
        (*MARKER, "-o", path.with_name(f"{path.name}.pdf")),
    ):
        said = refused(home, *words)
        assert re.search(f"cannot be written: (.*/)?({why})", said), said
