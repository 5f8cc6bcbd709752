"""Streams unpacked with a limit: what the PDF library does without one, and LZW.

Filters of ISO 32000-1, 7.4, from memory. Data of images (DCT, JPX, CCITT, JBIG2) stay packed.
"""

from __future__ import annotations

import base64
import re
import zlib
from collections.abc import Callable, Iterator

from pikepdf import Array, Object

from render.preflight.limits import MEGABYTE, STREAM_BYTES, Budget, TooLarge

_SHORT_NAMES = {
    "Fl": "FlateDecode",
    "LZW": "LZWDecode",
    "A85": "ASCII85Decode",
    "AHx": "ASCIIHexDecode",
    "RL": "RunLengthDecode",
    "CCF": "CCITTFaxDecode",
    "DCT": "DCTDecode",
}
_PIECE = MEGABYTE
_CLEAR, _END = 256, 257  # codes of LZW
Decoder = Callable[[bytes, int], bytes]


class DamagedError(ValueError):
    """A stream cannot be unpacked to its end."""


def filters_of(stream: Object) -> tuple[str, ...]:
    """The filters of a stream, the first to be undone first."""
    found = stream.get("/Filter")
    return filter_names(list(found.as_list()) if isinstance(found, Array) else found)


def filter_names(found: object) -> tuple[str, ...]:
    """Filters by their long names, from a name or a list of names."""
    names = found if isinstance(found, list) else [found] if found is not None else []
    plain = [str(name).removeprefix("/") for name in names]
    return tuple([_SHORT_NAMES.get(name, name) for name in plain])


def verify(stream: Object, budget: Budget) -> bytes | None:
    """Unpack a stream piece by piece, as far as its first filters are Flate.

    The data is given back where Flate is all there is and it came in one piece; else it is
    discarded.

    Raises:
        DamagedError: that does not go to its end.
        TooLarge: there is too much of it.
        PdfError: the file does not hold its data.
    """
    raw = stream.read_raw_bytes()
    names = filters_of(stream)
    held = STREAM_BYTES if str(stream.get("/Subtype")) != "/Image" else budget.unpacked
    if names[:1] != ("FlateDecode",) or not raw:  # a stream of no bytes is an empty one
        return None
    plain = "/DecodeParms" not in stream
    second = _Inflater() if names[1:2] == ("FlateDecode",) and plain else None
    room, piece = held, b""
    for piece in _Inflater().pieces(raw):
        held = _paid(piece, held, budget)
        for inner in second.pieces(piece, whole=False) if second else ():
            held = _paid(inner, held, budget)
    return piece if plain and len(names) == 1 and len(piece) == room - held else None


class Kept:
    """Data of streams that were verified, by their identity, as far as there is room for it."""

    def __init__(self) -> None:
        self._data: dict[tuple[int, int], bytes] = {}
        self._room = STREAM_BYTES

    def put(self, stream: Object, data: bytes) -> None:
        """Keep what a stream unpacks to."""
        if len(data) <= self._room:
            self._room -= len(data)
            self._data[stream.objgen] = data

    def get(self, stream: Object) -> bytes | None:
        """What a stream unpacks to, where that is kept."""
        return self._data.get(stream.objgen)


def unpack(
    stream: Object, budget: Budget, most: int = STREAM_BYTES, kept: Kept | None = None
) -> bytes:
    """The data of a stream, at most ``most`` bytes of it; ``kept`` may hold it already.

    Raises:
        DamagedError: it cannot be unpacked.
        TooLarge: there is too much of it.
        PdfError: the file does not hold its data, or the PDF library cannot unpack it.
    """
    known = kept.get(stream) if kept else None
    if known is not None:
        _within(known, most)
        budget.unpack(len(known))
        return known
    data = stream.read_raw_bytes()
    names = filters_of(stream)
    if not data or not names:
        return _within(data, most)
    if "/DecodeParms" in stream or not all(name in _DECODERS for name in names):
        verify(stream, budget)
        return _within(stream.read_bytes(), most)
    for name in names:
        data = _DECODERS[name](data, most)
        budget.unpack(len(data))
    return data


class _Inflater:
    """Flate data unpacked in pieces of a megabyte."""

    def __init__(self) -> None:
        self._unpacker = zlib.decompressobj()

    def pieces(self, data: bytes, whole: bool = True) -> Iterator[bytes]:
        try:
            while data and not self._unpacker.eof:
                yield self._unpacker.decompress(data, _PIECE)
                data = self._unpacker.unconsumed_tail
        except zlib.error as error:
            raise DamagedError(str(error)) from error
        if whole and not self._unpacker.eof:
            # What is left in the unpacker comes out without more data.
            yield self._unpacker.flush()
            if not self._unpacker.eof:
                raise DamagedError("it ends early")


def _paid(piece: bytes, held: int, budget: Budget) -> int:
    budget.unpack(len(piece))
    if len(piece) > held:
        raise _too_long(STREAM_BYTES)
    return held - len(piece)


def _within(data: bytes, most: int) -> bytes:
    if len(data) > most:
        raise _too_long(most)
    return data


def _too_long(most: int) -> TooLarge:
    return TooLarge("limit-bytes", f"one stream unpacks to more than {most // MEGABYTE} MB")


def _flate(data: bytes, most: int) -> bytes:
    parts, held = [], most
    for piece in _Inflater().pieces(data):
        held -= len(piece)
        if held < 0:
            raise _too_long(most)
        parts.append(piece)
    return b"".join(parts)


def _hexadecimal(data: bytes, most: int) -> bytes:
    digits = re.sub(rb"[\x00\t\n\f\r ]", b"", data.partition(b">")[0])
    try:
        return _within(bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii")), most)
    except ValueError as error:
        raise DamagedError("its digits are not hexadecimal") from error


def _base_85(data: bytes, most: int) -> bytes:
    if len(data) > most:
        raise _too_long(most)  # a letter z is four bytes
    try:
        return _within(base64.a85decode(data.partition(b"~")[0].strip()), most)
    except ValueError as error:
        raise DamagedError("its digits are not base 85") from error


def _run_length(data: bytes, most: int) -> bytes:
    made, at = bytearray(), 0
    while at < len(data) and data[at] != 128:
        length = data[at]
        if length < 128:
            made += data[at + 1 : at + 2 + length]
            at += 2 + length
        else:
            made += data[at + 1 : at + 2] * (257 - length)
            at += 2
        if len(made) > most:
            raise _too_long(most)
    return bytes(made)


def _lzw(data: bytes, most: int) -> bytes:
    """LZW of variable code length, the length changed one code early as PDF does by default."""
    made: list[bytes] = []
    held, table, last = most, [bytes([value]) for value in range(256)] + [b"", b""], b""
    bits = width = 0
    size = 9
    for byte in data:
        bits, width = (bits << 8) | byte, width + 8
        if width < size:
            continue
        width -= size
        code, bits = bits >> width, bits & ((1 << width) - 1)
        if code == _END:
            break
        if code == _CLEAR:
            del table[258:]
            size, last = 9, b""
            continue
        if code > len(table) or (code == len(table) and not last):
            raise DamagedError("its codes are out of order")
        entry = table[code] if code < len(table) else last + last[:1]
        if last and len(table) < 4096:
            table.append(last + entry[:1])
        size = min(12, max(9, (len(table) + 1).bit_length()))
        last = entry
        made.append(entry)
        held -= len(entry)
        if held < 0:
            raise _too_long(most)
    return b"".join(made)


_DECODERS: dict[str, Decoder] = {
    "FlateDecode": _flate,
    "LZWDecode": _lzw,
    "ASCIIHexDecode": _hexadecimal,
    "ASCII85Decode": _base_85,
    "RunLengthDecode": _run_length,
}
