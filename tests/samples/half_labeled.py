"""The demo plant's machinery room half labeled: what a surveyor found there, all invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

SURVEYOR, SURVEYED_ON, READ_ON = "C. Walker", "2026-03-02", "2026-03-05"
APPROVER, APPROVED_ON = "A. Reader", "2026-03-08"
FITTER, FITTED_ON = "C. Fitter", "2026-03-20"
STRAYS: tuple[Mapping[str, str], ...] = (
    {"reads": "AMMONIA", "location": "above the oil pot", "note": "painted by hand"},
    {"reads": "LIQ", "line_or_tag": "HPL-2-113", "found": "faded", "photo": "IMG_0231.jpg"},
)


def answers(pieces: Sequence[str]) -> dict[str, dict[str, str]]:
    """What is written into the sheet, by piece; the last quarter was not looked at."""
    found = {piece: {"found": "present"} for piece in pieces[: len(pieces) * 3 // 4]}
    for index, cells in enumerate(found.values()):
        if index % 9 == 3:
            cells["found"] = "missing"
        elif index % 17 == 5:
            cells["found"] = "Faded"
    for index, single in _SINGLE.items():
        found[pieces[index]] = {"found": "present", **single}
    return found


_SINGLE: Mapping[int, Mapping[str, str]] = {
    7: {"found": "wrong arrow", "reads": "HSD VAP AMMONIA HIGH", "note": "points to the roof"},
    8: {"found": "faded, too small"},
    11: {"found": "hidden by ice", "note": "no ladder"},
    14: {"found": "wrong word", "reads": "LIQUID AMMONIA", "photo": "IMG_0214.jpg"},
    20: {"circumference_in": "31", "note": "insulated since"},
    24: {"found": "other marker", "reads": "NH3 with a pictogram"},
}
