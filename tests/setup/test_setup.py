"""Locks and NOTICE against pyproject.toml and the metadata of what is installed."""

import re
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

TOP = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))
LOCKS = ["build", "runtime", "dev", "uv"]


def entries(name: str) -> list[str]:
    """The requirements of a lock, one text each with its hashes, comments left out."""
    text = (TOP / f".ci/{name}.lock").read_text(encoding="utf-8")
    bare = re.sub(r"^\s*#.*\n", "", text, flags=re.MULTILINE)
    return bare.replace("\\\n", " ").splitlines()


def locked(name: str) -> dict[str, list[Requirement]]:
    """Package name to its pins: more than one where Python versions need different releases."""
    pins: dict[str, list[Requirement]] = {}
    for entry in entries(name):
        pin = Requirement(entry.split("--hash", 1)[0])
        pins.setdefault(canonicalize_name(pin.name), []).append(pin)
    return pins


def notice() -> dict[str, str]:
    """Package name to license, as NOTICE lists them."""
    text = (TOP / "NOTICE").read_text(encoding="utf-8")
    return dict(re.findall(r"^([a-z0-9-]+): (.+)$", text, flags=re.MULTILINE))


@pytest.mark.parametrize("name", LOCKS)
def test_every_locked_requirement_is_pinned_and_hashed(name: str) -> None:
    """As pip's hash-checking mode wants it (pip user guide, "Secure installs")."""
    assert entries(name)
    for entry in entries(name):
        pin, *hashes = entry.split("--hash=")
        assert re.fullmatch(r"[a-z0-9-]+==[0-9][0-9a-z.]* *(;.*)?", pin.strip()), entry
        assert hashes, entry
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", digest.strip()) for digest in hashes), entry


@pytest.mark.parametrize("name", LOCKS)
def test_no_lock_names_a_place_to_fetch_from(name: str) -> None:
    text = (TOP / f".ci/{name}.lock").read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"^\s*(-i|--(extra-)?index-url|-f|--find-links)\b", text, re.MULTILINE)


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("build", PROJECT["build-system"]["requires"]),
        ("runtime", PROJECT["project"]["dependencies"]),
        ("runtime", PROJECT["project"]["optional-dependencies"]["fast"]),
        ("runtime", PROJECT["project"]["optional-dependencies"]["web"]),
        ("dev", PROJECT["project"]["dependencies"]),
        ("dev", PROJECT["project"]["optional-dependencies"]["dev"]),
    ],
)
def test_a_lock_covers_what_pyproject_asks_for(name: str, wanted: list[str]) -> None:
    pins = locked(name)
    for requirement in map(Requirement, wanted):
        found = pins[canonicalize_name(requirement.name)]
        for pin in found:
            (version,) = (clause.version for clause in pin.specifier)
            assert requirement.specifier.contains(version), f"{requirement} is locked as {pin}"


def test_the_locks_agree_with_each_other() -> None:
    """The tests must run on what a user gets."""
    build, runtime, dev = (
        {name: [str(pin.specifier) for pin in pins] for name, pins in locked(lock).items()}
        for lock in ("build", "runtime", "dev")
    )
    assert {name: dev[name] for name in runtime} == runtime
    shared = build.keys() & dev.keys()
    assert {name: dev[name] for name in shared} == {name: build[name] for name in shared}


def test_the_runtime_lock_is_closed() -> None:
    """What an installed dependency itself needs, by its own metadata, is locked too."""
    pins = locked("runtime")
    here = {name for name, found in pins.items() if any(applies(pin) for pin in found)}
    for name in here:
        for needed in map(Requirement, distribution(name).requires or []):
            if applies(needed):
                assert canonicalize_name(needed.name) in here, f"{name} needs {needed}"


def applies(requirement: Requirement) -> bool:
    """Whether it holds for this Python on this system, with no extra asked for."""
    return requirement.marker is None or requirement.marker.evaluate({"extra": ""})


def test_notice_names_every_runtime_dependency_and_nothing_else() -> None:
    assert sorted(notice()) == sorted(locked("runtime"))


def test_notice_says_what_the_packages_say() -> None:
    """Against the license expression of each installed package that has one (PEP 639)."""
    checked = 0
    for name, text in notice().items():
        if not any(applies(pin) for pin in locked("runtime")[name]):
            continue
        expressions = distribution(name).metadata.get_all("License-Expression")
        if expressions:
            # A later release for a newer Python may bundle more; the package's own comes first.
            assert text.split()[0] == expressions[0].split()[0], name
            checked += 1
    assert checked >= 10


def test_license_is_the_one_that_pyproject_names() -> None:
    assert PROJECT["project"]["license"] == "Apache-2.0"
    text = (TOP / "LICENSE").read_text(encoding="utf-8")
    assert "Apache License\n                           Version 2.0, January 2004" in text
    assert "END OF TERMS AND CONDITIONS" in text
