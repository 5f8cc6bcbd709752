"""Our reader of content streams against the one of the PDF library (pikepdf, that is qpdf)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import SupportsFloat

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from render.preflight.lexer import (
    OUTLINE,
    PATHS,
    PLACED,
    Instruction,
    LexError,
    NameOperand,
    blocks_in,
    instructions,
    names_in,
)

STREAMS = [
    b"",
    b"q Q",
    b"q 1 0 0 1 5.5 -.25 cm/S1 Do Q",
    b"1.5 0 m\n+3 4. l 5 6 7 8 9 10 c h f*",
    b"/OC /L1 BDC q Q EMC /Span <</ActualText (a\\)b) /E [1 [2] /N]>> BDC EMC",
    b"[ 3 2 ] 0 d [] 0 d [(A) -120 (B(c)d)] TJ <48656C6C6F> Tj <484> Tj",
    b"% a comment ( with a parenthesis\n0 g % another\r1 G",
    b"% a comment before an operator\nq % and another\r\nQ",
    b"/A#42 cs 0.5 scn /P1 scn 1 0 0 /P2 SCN",
    b"BI /W 1 /H 1 /CS /RGB /BPC 8 ID abc EI Q",
    b"(line \\\nend) ' 1 2 (x) \" T* b* B*",
    b"true /X DP null /Y DP",
    b"q\x00\x0c1\t2\rm Q",
]


@pytest.mark.parametrize("data", STREAMS)
def test_operators_and_operands_are_those_of_the_library(data: bytes) -> None:
    found = list(instructions(data))
    wanted = reference(data)
    assert [operator for operator, _ in found] == [operator for operator, _ in wanted]
    for (operator, mine), (_, theirs) in zip(found, wanted, strict=True):
        if operator != "BI":
            assert [plain(each) for each in mine] == [plain(each) for each in theirs]


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from([each for each in STREAMS if b"%" not in each]), max_size=6))
def test_streams_after_each_other_are_read_alike(parts: list[bytes]) -> None:
    data = b"\n".join(parts)
    assert [each for each, _ in instructions(data)] == [each for each, _ in reference(data)]


@pytest.mark.parametrize("data", STREAMS)
def test_runs_hold_the_same_operators(data: bytes) -> None:
    assert list(taken_apart(data)) == list(instructions(data))


PIECES = [
    *(b"q", b"Q", b"S", b"f", b"h", b"0 0 m", b"1 2 l", b"1 2 3 4 v", b"1 2 3 4 re", b"1 m"),
    *(b"1 0 0 1 5.5 -.25 cm", b"1 0 0 1 5 cm", b"1 0 0 1 5 5 cm/S1 Do", b"/S2 Do", b"/S#41 Do"),
    *(b"q 1 0 0 1 2 3 cm 0 0 m 1 0 l h S Q", b"q .1 0 0 .1 2 3 cm/S3 Do Q", b"%S Q", b"Sq"),
]


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from(PIECES), max_size=12), st.sampled_from([b" ", b"\n", b"\x00"]))
def test_runs_of_any_pieces_hold_the_same_operators(parts: list[bytes], between: bytes) -> None:
    data = between.join(parts) + b"\n1 0 l"
    assert list(taken_apart(data)) == list(instructions(data))


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        (b"0 0 m 1 0 l h 2 2 1 1 re S", [PATHS, "S"]),
        (b"1 0 m 1 l S", [PATHS, "l", "S"]),  # too few numbers: told by itself
        (b"q 1 0 0 1 5 5 cm 0 0 m 5 5 5 5 6 6 c 6 6 7 7 v f", ["q", "cm", PATHS, "f"]),
        (b"q 1 0 0 1 5 5 cm\n0 0 m 5 5 l\nS Q q 1 0 0 1 7 5 cm 0 0 m h S Q", [OUTLINE, OUTLINE]),
        (b"q 1 0 0 1 5 cm 0 0 m 5 5 l S Q", ["q", "cm", PATHS, "S", "Q"]),
        (b"q 1 0 0 1 5 5 cm/A Do 1 0 0 1 9 0 cm/B Do Q q /A Do Q w", [PLACED, "w"]),
        (b"q 1 0 0 1 5 5 cm/A Do 1 w Q", ["q", "cm", "Do", "w", "Q"]),
    ],
)
def test_runs_are_taken_in_one_piece(data: bytes, wanted: list[str]) -> None:
    assert [operator for operator, _ in instructions(data, in_runs=True)] == wanted


def test_names_and_blocks_of_placed_forms() -> None:
    data = b"q 1 0 0 1 5 5 cm/A Do 1 0 0 1 9 0 cm/B Do Q q /A Do Q"
    assert names_in(data) == ["/A", "/B"]
    assert [names_in(block) for block in blocks_in(data)] == [["/A", "/B"], ["/A"]]
    assert b"".join(blocks_in(data)) == data


def taken_apart(data: bytes) -> Iterator[Instruction]:
    """The instructions in runs, each run taken apart into those that it holds."""
    for operator, operands in instructions(data, in_runs=True):
        if operator == OUTLINE:
            *matrix, run = operands
            assert isinstance(run, bytes)
            yield from (("q", []), ("cm", matrix), *instructions(run), ("S", []), ("Q", []))
        elif operator in (PATHS, PLACED):
            (run,) = operands
            assert isinstance(run, bytes)
            yield from instructions(run)
        else:
            yield operator, operands


@pytest.mark.parametrize(
    "data",
    [
        b"1 2",
        b"(open",
        b"[1 2",
        b"<< /A 1",
        b"<< /A >> BDC",
        b"] f",
        b") f",
        b"BI /W 1",
        b"BI /W 1 ID x",
        b"{ }",
        b"1 2 \xff",
    ],
)
def test_broken_content_is_refused(data: bytes) -> None:
    with pytest.raises(LexError):
        list(instructions(data))


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        found = list(instructions(data))
    except LexError:
        return
    assert all(operator for operator, _ in found)


def test_long_runs_of_digits_do_not_slow_the_reader() -> None:
    with pytest.raises(LexError):
        list(instructions(b"1" * 200_000 + b" " + b"12 " * 50_000))


def reference(data: bytes) -> list[tuple[str, list[object]]]:
    with pikepdf.new() as pdf:
        found = pikepdf.parse_content_stream(pdf.make_stream(data))
        return [
            ("BI", [])
            if isinstance(each, pikepdf.ContentStreamInlineImage)
            else (str(each.operator), list(each.operands))
            for each in found
        ]


def plain(value: object) -> object:
    """A value of either reader in one form; strings by their length alone."""
    if isinstance(value, NameOperand | pikepdf.Name):
        return str(value)
    if isinstance(value, bytes | pikepdf.String):
        return "string"
    if isinstance(value, pikepdf.Array | list):
        return [plain(each) for each in list(value)]
    if isinstance(value, pikepdf.Dictionary | dict):
        return {str(key): plain(entry) for key, entry in value.items()}
    if value is None or isinstance(value, bool):
        return value
    assert isinstance(value, SupportsFloat)
    return float(value)
