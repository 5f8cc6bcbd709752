"""Small files that ask for a great deal, written by hand: no library would write them."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from functools import cache

MEGABYTE = 1 << 20
HEAD = b"<</Type/Catalog/Pages 2 0 R%b>>"


def file_of(
    content: bytes,
    filters: bytes = b"",
    resources: bytes = b"",
    more: tuple[bytes, ...] = (),
    root: bytes = b"",
    page: bytes = b"",
    pages: bytes = b"",
) -> bytes:
    """A PDF of one page, with ``more`` objects from number 5 on."""
    objects = [
        HEAD % root,
        b"<</Type/Pages/Kids[3 0 R]/Count 1%b>>" % pages,
        b"<</Type/Page/Parent 2 0 R%b/Contents 4 0 R/Resources<<%b>>>>"
        % (page or b"/MediaBox[0 0 100 100]", resources),
        stream(content, filters),
        *more,
    ]
    parts: list[bytes] = [b"%PDF-1.6\n"]
    places: list[int] = []
    for number, body in enumerate(objects, 1):
        places.append(sum(map(len, parts)) if number < 3 else places[-1] + len(parts[-1]))
        parts.append(b"%d 0 obj\n%b\nendobj\n" % (number, body))
    start = sum(map(len, parts))
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    tail = b"trailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (len(objects) + 1, start)
    return (
        b"".join(parts) + b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1) + table + tail
    )


def stream(data: bytes, entries: bytes = b"") -> bytes:
    return b"<<%b/Length %d>>stream\n%b\nendstream" % (entries, len(data), data)


def form(content: bytes, resources: bytes = b"") -> bytes:
    entries = b"/Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<<%b>>" % resources
    return stream(content, entries)


@cache
def deflated(megabytes: int, unit: bytes = b" ") -> bytes:
    """That many megabytes of one unit, packed."""
    packer = zlib.compressobj(9)
    piece = unit * (MEGABYTE // len(unit))
    packed = [packer.compress(piece) for _ in range(megabytes)]
    return b"".join((*packed, packer.flush()))


def chain(length: int, place: bytes = b"/F Do") -> tuple[bytes, ...]:
    """Forms that each place the next one."""
    inner = [form(place, b"/XObject<</F %d 0 R>>" % (number + 6)) for number in range(length - 1)]
    return (*inner, form(b""))


def fan(depth: int) -> tuple[bytes, ...]:
    """Forms that each place the next one twice."""
    return chain(depth, b"q 1 0 0 1 1 0 cm /F Do Q q 1 0 0 1 2 0 cm /F Do Q")


def spaces(depth: int) -> tuple[bytes, ...]:
    """Color spaces that each are an index into the next one."""
    inner = [b"[/Indexed %d 0 R 0 <00>]" % (number + 6) for number in range(depth)]
    return (*inner, b"/DeviceGray")


def functions(width: int) -> tuple[bytes, ...]:
    """An ink whose definition is an array of arrays, each held many times by the one above."""
    arrays = [b"[" + b"%d 0 R " % (number + 7) * width + b"]" for number in range(12)]
    return (b"[/Separation/Ink/DeviceGray 6 0 R]", *arrays, b"[0]")


def lzw(size: int) -> bytes:
    """Packed by LZW: runs of one letter, each longer than the last, until the table is full."""
    bits, width, length, table = ["100000000"], 9, 0, 258
    codes = 0
    while length < size:
        if table >= 4095:
            bits.append(f"{256:012b}")
            width, table, codes = 9, 258, 0
        code = 32 if codes == 0 else table
        length += codes + 1
        bits.append(f"{code:0{width}b}")
        if codes:
            table += 1
        codes += 1
        width = min(12, max(9, (table + 1).bit_length()))
    bits.append(f"{257:0{width}b}")
    joined = "".join(bits)
    return int(joined.ljust(-(-len(joined) // 8) * 8, "0"), 2).to_bytes(-(-len(joined) // 8), "big")


def bombs() -> Iterator[tuple[str, Callable[[], bytes], set[str]]]:
    """Names, files and the verdicts that are right for each."""
    flate = b"/Filter/FlateDecode"
    large, either = {"too large to judge"}, {"too large to judge", "fail", "unreadable"}
    steps = (
        b"/OCProperties<</OCGs[5 0 R]/D<<>>>>",
        b"<</Type/OCG/Name(Cut)/GTS_Metadata"
        b"<</GTS_ProcStepsGroup/Structural/GTS_ProcStepsType/Cutting>>>>",
    )

    def packed(unit: bytes, megabytes: int = 30) -> Callable[[], bytes]:
        return lambda: file_of(deflated(megabytes, unit), flate)

    def twice() -> bytes:
        return file_of(zlib.compress(deflated(1024), 9), b"/Filter[/FlateDecode/FlateDecode]")

    def unused() -> bytes:
        return file_of(b"", more=(stream(deflated(1024), flate),))

    yield "a gigabyte of blanks", packed(b" ", 1024), large
    yield "a gigabyte, packed twice", twice, large
    yield "a gigabyte that no page uses", unused, large
    yield "states without end", packed(b"q 1 0 0 1 0 0 cm Q\n"), {"pass"}
    yield "states that are never restored", packed(b"q "), large
    yield "marked content that never ends", packed(b"/A BMC "), large
    yield "operators of two bytes", packed(b"n "), large
    yield "strings in strings", packed(b"("), either
    yield "one array of numbers", packed(b"[" + b"1 " * 4000), large
    yield "names that mean nothing", packed(b"/Nothing gs "), large
    yield "arrays in arrays", lambda: file_of(b"[" * 100_000), large
    yield "dictionaries in dictionaries", lambda: file_of(b"/A " + b"<</A" * 100_000), large
    yield "numbers before an operator", packed(b"1 "), {"fail"}
    yield (
        "forms 200 deep",
        lambda: file_of(b"/F Do", resources=b"/XObject<</F 5 0 R>>", more=chain(200)),
        large,
    )
    yield (
        "forms 5,000 deep",
        lambda: file_of(b"/F Do", resources=b"/XObject<</F 5 0 R>>", more=chain(5000)),
        large,
    )
    yield (
        "forms placed a trillion times",
        lambda: file_of(b"/F Do", resources=b"/XObject<</F 5 0 R>>", more=fan(40)),
        {"pass"},
    )
    yield (
        "spaces in spaces",
        lambda: file_of(b"/C cs", resources=b"/ColorSpace<</C 5 0 R>>", more=spaces(2000)),
        large,
    )
    yield (
        "a space in itself",
        lambda: file_of(
            b"/C cs", resources=b"/ColorSpace<</C 5 0 R>>", more=(b"[/Indexed 5 0 R 0 <00>]",)
        ),
        large,
    )
    yield (
        "a definition that unfolds",
        lambda: file_of(b"/C cs", resources=b"/ColorSpace<</C 5 0 R>>", more=functions(60)),
        large,
    )
    yield (
        "metadata of 200 MB",
        lambda: file_of(
            b"",
            more=(stream(deflated(200), b"/Type/Metadata/Subtype/XML" + flate),),
            root=b"/Metadata 5 0 R",
        ),
        large,
    )
    yield (
        "an image of predictors",
        (
            lambda: file_of(
                zlib.compress(b"q Q"),
                b"/DecodeParms<</Predictor 12/Columns 2000000000>>" + flate,
            )
        ),
        either,
    )
    yield "lzw", lambda: file_of(lzw(40 * MEGABYTE), b"/Filter/LZWDecode"), large
    yield (
        "runs of one byte",
        lambda: file_of(bytes([129, 32]) * (MEGABYTE), b"/Filter/RunLengthDecode"),
        large,
    )
    yield (
        "a page tree that goes in a circle",
        lambda: file_of(b"", page=b"/Rotate 0", pages=b"/Parent 2 0 R"),
        either,
    )
    yield (
        "layers listed in a circle",
        lambda: file_of(
            b"",
            more=(b"[5 0 R [5 0 R]]", b"<</Type/OCG/Name(A)>>"),
            root=b"/OCProperties<</OCGs[6 0 R]/D<</Order 5 0 R/OFF 5 0 R>>>>",
        ),
        {"pass"},
    )
    yield (
        "marks in a step",
        (
            lambda: file_of(
                deflated(30, b"/OC/L BDC 0 0 m 9 0 l S 0 0 m 1 1 l S EMC\n"),
                flate,
                b"/Properties<</L 5 0 R>>",
                (steps[1],),
                steps[0],
            )
        ),
        large,
    )
    yield (
        "a path in a step",
        (
            lambda: file_of(
                zlib.compress(b"/OC/L BDC 0 0 m " + b"1 1 l 2 0 l " * (2 * MEGABYTE) + b"S EMC"),
                flate,
                b"/Properties<</L 5 0 R>>",
                (steps[1],),
                steps[0],
            )
        ),
        large,
    )
    yield (
        "bridges in one place",
        (
            lambda: file_of(
                zlib.compress(b"/OC/L BDC " + b"0 0 m .1 .1 l S " * 100_000 + b"EMC"),
                flate,
                b"/Properties<</L 5 0 R>>",
                (steps[1],),
                steps[0],
            )
        ),
        {"fail"},
    )
