"""What comes in with a request, limited while it streams; names are made safe or left behind."""

from __future__ import annotations

import unicodedata
from collections.abc import AsyncGenerator, Iterable
from pathlib import PurePosixPath, PureWindowsPath
from urllib.parse import parse_qsl

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import Request

from layouts.terms.values import frozen

_FORM = 4 << 20  # bytes of a form without files
_FIELDS = 20_000
_LONGEST = 80  # characters of a name
# Names that Windows keeps for devices, whatever their suffix (Naming Files, Paths, and Namespaces).
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{n}{i}" for n in ("com", "lpt") for i in "0123456789")}
)


@frozen
class UploadLimits:
    """Bytes of a whole request, and files in it."""

    size: int = 48 << 20
    files: int = 12


@frozen
class GivenFile:
    """A file of a form: the field it came in, the name that it is kept under, its bytes."""

    field: str
    name: str
    data: bytes


async def received(
    request: Request, limits: UploadLimits | None = None
) -> tuple[list[GivenFile], dict[str, str]]:
    """The files and the fields of a form.

    Raises:
        HTTPException: 413 where it is larger than allowed or has more files, 400 where it is no
            form.
    """
    limits = limits or UploadLimits()
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        return [], await fields_of(request)
    stream = _Limited(request, limits.size)
    parser = MultiPartParser(
        request.headers, stream.chunks(), max_files=limits.files, max_fields=_FIELDS
    )
    try:
        form = await parser.parse()
    except MultiPartException as error:
        too_much = stream.too_large or "Too many files" in error.message
        raise HTTPException(413 if too_much else 400) from error
    try:
        return await _taken(form), {k: v for k, v in form.items() if isinstance(v, str)}
    finally:
        await form.close()


async def fields_of(request: Request) -> dict[str, str]:
    """The fields of a form without files; the last of a name counts.

    Raises:
        HTTPException: 413 where it is larger than allowed, 400 where it cannot be read.
    """
    return {name: texts[-1] for name, texts in (await field_lists_of(request)).items()}


async def field_lists_of(request: Request) -> dict[str, list[str]]:
    """The fields of a form without files, each with all that was given for it.

    Raises:
        HTTPException: as ``fields_of``.
    """
    data = await body_of(request, _FORM)
    found: dict[str, list[str]] = {}
    try:
        for name, text in parse_qsl(data.decode(), True, max_num_fields=_FIELDS):
            found.setdefault(name, []).append(text)
    except ValueError as error:
        raise HTTPException(400) from error
    return found


async def body_of(request: Request, most: int) -> bytes:
    """The body of a request.

    Raises:
        HTTPException: 413 where it is larger than ``most`` bytes.
    """
    stream = _Limited(request, most)
    try:
        return b"".join([chunk async for chunk in stream.chunks()])
    except MultiPartException as error:
        raise HTTPException(413) from error


class _Limited:
    """The body of a request, ended where it grows too large."""

    def __init__(self, request: Request, most: int) -> None:
        self._request, self._most, self.too_large = request, most, False

    async def chunks(self) -> AsyncGenerator[bytes, None]:
        said = self._request.headers.get("content-length", "0")
        seen = 0
        self.too_large = not said.isdecimal() or int(said) > self._most
        if self.too_large:
            raise MultiPartException("too large")
        async for chunk in self._request.stream():
            seen += len(chunk)
            if seen > self._most:
                self.too_large = True
                raise MultiPartException("too large")
            yield chunk


async def _taken(form: FormData) -> list[GivenFile]:
    found: list[GivenFile] = []
    for field, value in form.multi_items():
        if isinstance(value, UploadFile) and value.filename:
            name = safe_name(value.filename, (each.name for each in found))
            found.append(GivenFile(field, name, await value.read()))
    return found


def safe_name(given: str, taken: Iterable[str] = ()) -> str:
    """A name for a file: letters, digits and a few signs of the last part of what was given.

    No two names share a stem, whatever their case.
    """
    last = PureWindowsPath(PurePosixPath(given).name).name
    plain = unicodedata.normalize("NFC", last)
    kept = "".join(sign for sign in plain if sign.isalnum() or sign in " ._-()").strip(" .")
    stem, dot, suffix = kept.rpartition(".")
    if not dot:
        stem, suffix = kept, ""
    stem = stem[:_LONGEST].strip(" .") or "list"
    if stem.split(".")[0].casefold() in _DEVICES:
        stem = f"list {stem}"
    stems = {name.rpartition(".")[0].casefold() for name in taken}
    number, fresh = 2, stem
    while fresh.casefold() in stems:
        fresh, number = f"{stem} {number}", number + 1
    return f"{fresh}.{suffix.lower()[:8]}" if suffix else fresh
