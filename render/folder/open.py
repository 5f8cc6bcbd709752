"""Reads a job folder back: its order, and its files, checked against the manifest."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from layouts.order.order import Order
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity
from layouts.terms.values import frozen
from render.files.intake import MB, bytes_of
from render.files.overwrite import MANIFEST
from render.read import read

ORDER = "order.json"


class _Entry(BaseModel):
    model_config = ConfigDict(extra="ignore")
    sha256: str


class _Manifest(BaseModel):
    """The parts of a manifest that are read here; a newer one may have more."""

    model_config = ConfigDict(extra="ignore")
    files: Mapping[str, _Entry]


@frozen
class Job:
    """A job folder on disk. ``seal`` is the SHA-256 of its manifest, which identifies the job."""

    folder: Path
    hashes: Mapping[str, str]
    seal: str

    def names(self, start: str = "", end: str = "") -> list[str]:
        """Files of the job by the beginning and end of their names."""
        return sorted(name for name in self.hashes if name.startswith(start) and name.endswith(end))

    def file(self, name: str) -> bytes:
        """A file as it was written.

        Raises:
            InputError: it is missing or does not match the manifest.
        """
        try:
            data = bytes_of(self.folder / name, 1024 * MB)
        except OSError as error:
            why = "is missing" if isinstance(error, FileNotFoundError) else "cannot be opened"
            raise job_refusal(
                "job-incomplete", f"{name} {why}", "restore the folder", self
            ) from error
        if hashlib.sha256(data).hexdigest() != self.hashes.get(name):
            what = f"{name} is not the file that the manifest vouches for"
            raise job_refusal("job-altered", what, "restore the folder as it was written", self)
        return data

    def order(self) -> Order:
        """The order of the job.

        Raises:
            InputError: it is missing or altered, or has faults.
        """
        self.file(ORDER)
        reading = read(self.folder / ORDER)
        blocking = [finding for finding in reading.findings if finding.blocks]
        if reading.order is None or blocking:
            raise InputError(blocking)
        return reading.order


def open_job(folder: Path) -> Job:
    """A job folder by its manifest.

    Raises:
        InputError: it is not a job folder.
    """
    try:
        data = bytes_of(folder / MANIFEST)
        found = _Manifest.model_validate_json(data)
    except (OSError, ValidationError) as error:
        what = f"{folder} is not a job folder: it has no {MANIFEST} that can be read"
        finding = Finding("job-unreadable", Severity.UNREADABLE, what, "name a job folder")
        raise InputError([finding]) from error
    hashes = {name: entry.sha256 for name, entry in found.files.items()}
    return Job(folder, hashes, hashlib.sha256(data).hexdigest())


def read_order(path: Path, mapping: Path | None = None) -> Order:
    """An order from a line list, an order file or a job folder.

    ``mapping`` says how the plant writes its lists; a job folder needs none.

    Raises:
        InputError: it cannot be read; the error holds every fault.
    """
    if path.is_dir():
        return open_job(path).order()
    reading = read(path, mapping)
    blocking = [finding for finding in reading.findings if finding.blocks]
    if reading.order is None or blocking:
        raise InputError(blocking or reading.findings)
    return reading.order


def job_refusal(code: str, what: str, right: str, job: Job) -> InputError:
    """The error for a faulty job folder."""
    place = Place(job.folder.name)
    return InputError([Finding(code, Severity.UNREADABLE, what, right, place=place)])
