"""Builds pipelegend as setuptools does, with a source distribution that is whole and repeatable.

setuptools leaves the tests and samples out and writes the time of the build into the archive.
Here the archive holds all that a clone holds, in the order of the names, with one time for all
files: SOURCE_DATE_EPOCH (reproducible-builds.org/specs/source-date-epoch), else 1980-01-01.
"""

import gzip
import io
import os
import tarfile
from pathlib import Path

from setuptools import build_meta
from setuptools.build_meta import *  # noqa: F403  the hooks of PEP 517 and 660

_MORE = (
    "tests",
    "output_samples",
    ".ci",
    "Makefile",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    ".gitignore",
)
_EARLIEST = 315532800  # 1980-01-01: a wheel is a zip, which knows no time before it


def build_wheel(wheel_directory, config_settings=None, metadata_directory=None):
    """PEP 517: the wheel, the same bytes from the same files."""
    os.environ.setdefault("SOURCE_DATE_EPOCH", str(_EARLIEST))
    return build_meta.build_wheel(wheel_directory, config_settings, metadata_directory)


def build_sdist(sdist_directory, config_settings=None):
    """PEP 517: the source distribution, the same bytes from the same files."""
    name = build_meta.build_sdist(sdist_directory, config_settings)
    path = Path(sdist_directory) / name
    path.write_bytes(_packed(name.removesuffix(".tar.gz"), _files(path)))
    return name


def _files(path):
    """Content and executable bit of every file, by its name below the archive's folder."""
    files = {}
    with tarfile.open(path) as archive:
        for entry in archive:
            if entry.isfile():
                inner = entry.name.partition("/")[2]
                files[inner] = (archive.extractfile(entry).read(), entry.mode & 0o100)
    for top in map(Path, _MORE):
        for each in (top, *top.rglob("*")):
            if each.is_file() and "__pycache__" not in each.parts:
                files[each.as_posix()] = (each.read_bytes(), each.stat().st_mode & 0o100)
    return files


def _packed(folder, files):
    moment = int(os.environ.get("SOURCE_DATE_EPOCH", _EARLIEST))
    packed = io.BytesIO()
    with (
        gzip.GzipFile("", "wb", fileobj=packed, mtime=moment) as stream,
        tarfile.open(fileobj=stream, mode="w", format=tarfile.PAX_FORMAT) as archive,
    ):
        for name, (data, executable) in sorted(files.items()):
            entry = tarfile.TarInfo(f"{folder}/{name}")
            entry.size, entry.mtime = len(data), moment
            entry.mode = 0o755 if executable else 0o644
            archive.addfile(entry, io.BytesIO(data))
    return packed.getvalue()
