"""Resource dictionaries, each entry looked up once however often the content names it."""

from __future__ import annotations

from collections.abc import Iterator

from pikepdf import Dictionary, Object, Stream


class Resources:
    """The entries of one resource dictionary."""

    def __init__(self, found: object) -> None:
        self._found = found if isinstance(found, Dictionary) else None
        self._tables: dict[str, Object | None] = {}
        self._entries: dict[tuple[str, str], Object | None] = {}

    @property
    def has_groups(self) -> bool:
        """Whether content with these resources can belong to layers by itself."""
        return self._found is not None and "/Properties" in self._found

    def placed(self) -> Iterator[Object]:
        """The forms and patterns that content with these resources can place."""
        for kind in ("/XObject", "/Pattern"):
            table = self._table(kind)
            if table is not None:
                yield from (each for each in table.values() if isinstance(each, Stream))

    def get(self, kind: str, name: str) -> Object | None:
        """The entry of a kind (``/XObject``) and a name, slash included."""
        key = (kind, name)
        if key not in self._entries:
            table = self._table(kind)
            value = table.get(name) if table is not None and name != "/" else None
            self._entries[key] = value if isinstance(value, Object) else None
        return self._entries[key]

    def _table(self, kind: str) -> Object | None:
        if kind not in self._tables:
            table = self._found.get(kind) if self._found is not None else None
            self._tables[kind] = table if isinstance(table, Dictionary) else None
        return self._tables[kind]
