"""Streams unpacked by our own filters, against pypdf's and Python's own coders."""

from __future__ import annotations

import base64
import io
import zlib
from collections.abc import Callable

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf._codecs._codecs import LzwCodec

from render.preflight.filters import DamagedError, unpack, verify
from render.preflight.limits import Budget, TooLarge

LONG = b"0 0 m 1 1 l S " * 4000


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.binary(max_size=3000))
def test_lzw_gives_back_what_pypdf_packed(data: bytes) -> None:
    with pikepdf.new() as pdf:
        stream = pdf.make_stream(b"")
        stream.write(LzwCodec().encode(data), filter=pikepdf.Name.LZWDecode)
        assert unpack(stream, Budget()) == data


@pytest.mark.parametrize("data", [b"", b"q Q", LONG, bytes(range(256)) * 50])
@pytest.mark.parametrize(
    ("names", "pack"),
    [
        (("FlateDecode",), zlib.compress),
        (("LZWDecode",), lambda data: LzwCodec().encode(data)),
        (("ASCIIHexDecode",), lambda data: data.hex(" ").encode() + b">"),
        (("ASCII85Decode",), lambda data: base64.a85encode(data) + b"~>"),
        (("ASCII85Decode", "FlateDecode"), lambda d: base64.a85encode(zlib.compress(d)) + b"~>"),
        (("FlateDecode", "FlateDecode"), lambda data: zlib.compress(zlib.compress(data))),
        (("RunLengthDecode",), lambda d: b"".join(bytes([0, each]) for each in d) + b"\x80"),
    ],
    ids=lambda each: "+".join(each) if isinstance(each, tuple) else "",
)
def test_each_filter_gives_back_what_was_packed(
    data: bytes, names: tuple[str, ...], pack: Callable[[bytes], bytes]
) -> None:
    with pikepdf.new() as pdf:
        stream = pdf.make_stream(b"")
        filters = pikepdf.Array([pikepdf.Name("/" + name) for name in names])
        stream.write(pack(data), filter=filters)
        assert unpack(stream, Budget()) == data
        verify(stream, Budget())


def test_a_predictor_is_undone_by_the_library() -> None:
    rows = b"".join(b"\x02" + bytes(4) for _ in range(3))
    with pikepdf.new() as pdf:
        stream = pdf.make_stream(b"")
        stream.write(
            zlib.compress(rows),
            filter=pikepdf.Name.FlateDecode,
            decode_parms=pikepdf.Dictionary({"/Predictor": 12, "/Columns": 4}),
        )
        assert unpack(stream, Budget()) == bytes(12)


@pytest.mark.parametrize("data", [zlib.compress(LONG)[:-9], b"\x00\x01 no flate"])
def test_damage_is_told(data: bytes) -> None:
    with pikepdf.new() as pdf:
        stream = pdf.make_stream(b"")
        stream.write(data, filter=pikepdf.Name.FlateDecode)
        with pytest.raises(DamagedError):
            verify(stream, Budget())
        with pytest.raises(DamagedError):
            unpack(stream, Budget())


def test_more_than_is_allowed_is_refused() -> None:
    with pikepdf.new() as pdf:
        stream = pdf.make_stream(zlib.compress(LONG))
        stream.write(zlib.compress(LONG), filter=pikepdf.Name.FlateDecode)
        with pytest.raises(TooLarge, match="one stream"):
            unpack(stream, Budget(), most=1000)
        with pytest.raises(TooLarge, match="streams unpack"):
            verify(stream, Budget(unpacked=1000))


def test_an_empty_stream_is_sound() -> None:
    """A library may say Flate of a stream without a byte (qpdf and poppler read it)."""
    with pikepdf.open(io.BytesIO(_blank())) as pdf:
        for found in pdf.objects:
            if isinstance(found, pikepdf.Stream):
                verify(found, Budget())


def _blank() -> bytes:
    target = io.BytesIO()
    with pikepdf.new() as pdf:
        page = pdf.add_blank_page()
        page.Contents = pdf.make_stream(b"")
        page.Contents.write(b"", filter=pikepdf.Name.FlateDecode)
        pdf.save(target)
    return target.getvalue()
