"""The objects of a file as text, each written as soon as it is known (ISO 32000-1, 7.3 and 7.5).

A value is its own text: functions here make it, and nothing of it is kept but where it begins.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Mapping
from typing import TypeAlias

Value: TypeAlias = str | int

_HEADER = b"%PDF-1.6\n%\xa9\xb6\xc4\xe5\n"  # four bytes above 127 say that the file is binary
_REGULAR = frozenset(range(0x21, 0x7F)) - frozenset(b"()<>[]{}/%#")  # written as they are in names
_MARKED = str.maketrans({"\\": "\\\\", "(": "\\(", ")": "\\)"})


def name_object(text: str) -> str:
    """A name; what is not a regular character is written by its number."""
    signs = (chr(byte) if byte in _REGULAR else f"#{byte:02X}" for byte in text.encode("utf-8"))
    return f"/{''.join(signs)}"


def text_string(text: str) -> str:
    """A text string: as it is where it is printable ASCII, else UTF-16."""
    if text.isascii() and text.isprintable():
        return f"({text.translate(_MARKED)})"
    return f"<FEFF{text.encode('utf-16-be').hex().upper()}>"


def array_object(values: Iterable[Value]) -> str:
    """An array."""
    return f"[ {' '.join(map(str, values))} ]"


def dictionary_object(entries: Mapping[str, Value]) -> str:
    """A dictionary by plain names."""
    return f"<< {' '.join([f'/{key} {value}' for key, value in entries.items()])} >>"


def reference(number: int) -> str:
    """What stands for an object in others."""
    return f"{number} 0 R"


class Body:
    """A file in the making. Objects are numbered from 1 and may be referred to before they come."""

    def __init__(self) -> None:
        self._data = io.BytesIO()  # gives up its bytes without a copy, unlike a bytearray
        self._data.write(_HEADER)
        self._starts: list[int] = [0]

    def reserve(self) -> int:
        """The number of an object that comes later."""
        self._starts.append(0)
        return len(self._starts) - 1

    def put(self, number: int, value: str) -> None:
        """Write the object of a reserved number."""
        self._starts[number] = self._data.tell()
        self._data.write(f"{number} 0 obj\n{value}\nendobj\n".encode("ascii"))

    def add(self, value: str) -> int:
        """Write an object; its number."""
        number = self.reserve()
        self.put(number, value)
        return number

    def put_stream(self, number: int, entries: Mapping[str, Value], data: bytes) -> None:
        """Write the stream of a reserved number; ``data`` is as the entries say it is packed."""
        self._starts[number] = self._data.tell()
        about = dictionary_object({**entries, "Length": len(data)})
        self._data.write(f"{number} 0 obj\n{about}\nstream\n".encode("ascii"))
        self._data.write(data)
        self._data.write(b"\nendstream\nendobj\n")

    def finish(self, root: int, info: int) -> bytes:
        """The whole file, with an identifier made from its content. Every object has come."""
        assert all(self._starts[1:])
        digest = hashlib.sha256(self._data.getbuffer()).hexdigest().upper()[:32]
        start, size = self._data.tell(), len(self._starts)
        trailer: dict[str, Value] = {
            "Size": size,
            "Root": reference(root),
            "Info": reference(info),
            "ID": f"[<{digest}> <{digest}>]",
        }
        rows = "".join([f"{at:010d} 00000 n \n" for at in self._starts[1:]])
        ending = (
            f"xref\n0 {size}\n0000000000 65535 f \n{rows}"
            f"trailer\n{dictionary_object(trailer)}\nstartxref\n{start}\n%%EOF\n"
        )
        self._data.write(ending.encode("ascii"))
        return self._data.getvalue()
