"""Drawing number and revision of a sheet, from the texts of its title block."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

# Labels of title blocks, as ISO 7200 names the fields and as American drawings abbreviate them
# (common practice, no source).
_NUMBER = re.compile(
    r"(?:DWG|DRAWING|P&ID|SHEET)\.?\s*(?:NO|NUMBER|NR|#)\.?\s*:?\s*([A-Z0-9][\w./-]{1,30})", re.I
)
_REVISION = re.compile(r"\bREV(?:ISION)?\.?\s*(?:NO\.?)?\s*:?\s*([A-Z]{1,2}|\d{1,3}[A-Z]?)\b", re.I)
_NUMBER_TAGS = ("DWG_NO", "DWGNO", "DRAWING_NO", "DRAWING_NUMBER", "DWG", "NUMBER", "SHEET_NO")
_REVISION_TAGS = ("REV", "REVISION", "REV_NO", "REVISION_NO")


def number_and_revision(
    texts: Iterable[str], attributes: Mapping[str, str] | None = None
) -> tuple[str, str]:
    """What a sheet calls itself, each empty where it does not say; attributes of blocks first."""
    given = {key.upper(): value.strip() for key, value in (attributes or {}).items()}
    number = next((given[tag] for tag in _NUMBER_TAGS if given.get(tag)), "")
    revision = next((given[tag] for tag in _REVISION_TAGS if given.get(tag)), "")
    for text in texts:
        if not number and (found := _NUMBER.search(text)):
            number = found[1]
        if not revision and (found := _REVISION.search(text)):
            revision = found[1].upper()
    return number, revision
