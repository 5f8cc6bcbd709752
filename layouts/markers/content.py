"""What a proof approves, and its hash.

The hash covers only what is approved: each distinct marker as it is drawn, cut and built,
its quantity, the findings accepted with their reasons, and the edition of each scheme. Title,
revision, date and places are not in it, nor anything of the program that a marker does not show.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from itertools import islice
from typing import Protocol

from layouts.markers.fingerprint import FORM, Form, fingerprint
from layouts.markers.gather import Marker, build_key
from layouts.schemes.model import Scheme
from layouts.terms.findings import Finding
from layouts.terms.values import frozen


@frozen
class ProvedMarker:
    """One distinct marker of a proof. ``id`` is its name there and not part of the hash."""

    id: str
    words: str
    face: str
    build: tuple[str, ...]
    quantity: int

    @property
    def approved(self) -> dict[str, object]:
        """What is approved of it, by the names of its fields."""
        return {
            "words": self.words,
            "face": self.face,
            "build": self.build,
            "quantity": self.quantity,
        }


@frozen
class AcceptedFinding:
    """One finding that the order accepts."""

    code: str
    marker: str
    what: str
    reason: str


@frozen
class Content:
    """All that a proof approves; ``schemes`` are editions by the scheme's key.

    ``version`` is the form of the faces' fingerprints. ``ids`` says how the pieces are identified,
    empty if they carry no id.
    """

    markers: tuple[ProvedMarker, ...]
    accepted: tuple[AcceptedFinding, ...]
    schemes: Mapping[str, str]
    version: Form = FORM
    ids: str = ""

    @property
    def hash(self) -> str:
        """SHA-256 (hex) of the content, the same for the same content whatever its order."""
        fields = {
            "version": canonical(self.version),
            "markers": _sorted_list(each.approved for each in self.markers),
            "accepted": _sorted_list(asdict(each) for each in self.accepted),
            "schemes": canonical(dict(self.schemes)),
        }
        if self.ids:
            fields["ids"] = canonical(self.ids)
        text = ",".join(f'"{key}":{value}' for key, value in sorted(fields.items()))
        return hashlib.sha256(f"{{{text}}}".encode()).hexdigest()

    @property
    def table(self) -> Mapping[str, object]:
        """The content as a plain table for JSON."""
        table: dict[str, object] = {
            "markers": [{"id": each.id, **each.approved} for each in self.markers],
            "accepted": [asdict(each) for each in self.accepted],
            "schemes": dict(self.schemes),
            "version": self.version,
        }
        return {**table, "ids": self.ids} if self.ids else table


class ContentIn(Protocol):
    """Gives the content of an order in the form of the record that it is compared with."""

    def __call__(self, version: Form = FORM) -> Content: ...  # noqa: D102


def content_of(
    markers: Iterable[Marker],
    findings: Iterable[Finding],
    schemes: Mapping[str, Scheme],
    ids: str = "",
    version: Form = FORM,
) -> Content:
    """What the proof of these markers approves; ``schemes`` are those in use.

    ``version`` is that of the record that it is compared with.
    """
    proved = (
        ProvedMarker(
            id=marker.id,
            words=marker.face.words,
            face=fingerprint(marker.face, version),
            build=build_key(marker.plan.build),
            quantity=marker.quantity,
        )
        for marker in markers
    )
    accepted = dict.fromkeys(
        AcceptedFinding(
            code=each.code, marker=each.place.marker, what=each.what, reason=each.accepted
        )
        for each in findings
        if each.accepted
    )
    editions = {scheme.key: scheme.edition for scheme in schemes.values()}
    return Content(
        markers=tuple(sorted(proved, key=lambda each: each.id)),
        accepted=tuple(sorted(accepted, key=lambda each: canonical(asdict(each)))),
        schemes=dict(sorted(editions.items())),
        version=version,
        ids=ids,
    )


def proof_hash(content: Content) -> str:
    """The hash as it is printed: the first 16 digits in fours, ``3F2A-90C1-77B0-E4D2``."""
    digits = content.hash[:16].upper()
    return "-".join(digits[at : at + 4] for at in range(0, 16, 4))


def canonical(value: object) -> str:
    """One JSON text for equal values, whatever the order of their keys."""
    return _canonical(value)


def _sorted_list(values: Iterable[object]) -> str:
    """The canonical JSON of the values as a list in the order of their texts."""
    return f"[{','.join(sorted(map(canonical, values)))}]"


def json_file(table: object) -> bytes:
    """A table as the bytes of a JSON file that people can read."""
    signs, text = iter(_readable.iterencode(table)), bytearray()
    while some := "".join(islice(signs, _AT_ONCE)):
        text += some.encode()
    return bytes(text + b"\n")


def proof_json(content: Content) -> bytes:
    """The content with its hash, to lie beside the proof."""
    return json_file({"hash": content.hash, "content": content.table})


_readable = json.JSONEncoder(indent=1, sort_keys=True, ensure_ascii=False)
_AT_ONCE = 10_000  # of an encoder's pieces; all those of 150,000 markers take 200 MB
_canonical = json.JSONEncoder(sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode
