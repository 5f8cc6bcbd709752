"""The one entry for text: invisible characters are removed, and non-text characters refused.

Afterward a cell that looks empty is empty, and two texts that look equal are equal. What does not
represent readable text (a control character, half of a pair, the mark of a broken export) is never
printed on a pipe.
"""

from __future__ import annotations

import unicodedata

# The sign that a program writes where it could not read one (Unicode, U+FFFD REPLACEMENT
# CHARACTER): a text that holds it has lost something.
_LOST = "\ufffd"
# Control characters that mean a space or a new line (Unicode, White_Space).
_SPACING = frozenset("\t\n\v\f\r\x85\x1c\x1d\x1e\x1f")
_SPACES = frozenset({"Zs", "Zl", "Zp"})
_INVISIBLE = "Cf"
_REFUSED = {
    "Cc": "a control character",
    "Cs": "half of a character",
    "Cn": "no character of Unicode",
}


def is_plain(text: str) -> bool:
    """Whether a text needs no look: every sign of it is seen, or is a usual space."""
    return text.isprintable() and _LOST not in text


def cleaned(text: str) -> str:
    """The text without signs that are not seen; any space and line break is a usual space."""
    return text if is_plain(text) else "".join(map(_clean_sign, text))


def unfit_sign(text: str) -> str:
    """The first sign that cannot be in a text, as words for a finding; empty if there is none."""
    if is_plain(text):
        return ""
    for at, sign in enumerate(text):
        if sign == _LOST:
            return f"U+FFFD at character {at + 1}, which stands where a character was lost"
        if sign not in _SPACING and (kind := _REFUSED.get(unicodedata.category(sign))):
            return f"U+{ord(sign):04X} at character {at + 1}, {kind}"
    return ""


def printable(text: str) -> str:
    """The text for a terminal: no sign in it is obeyed, or changes the order of the others."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else _shown(sign) for sign in text)


def _shown(sign: str) -> str:
    if sign in _SPACING or unicodedata.category(sign) in _SPACES:
        return " "
    return f"<U+{ord(sign):04X}>"


def _clean_sign(sign: str) -> str:
    if sign in _SPACING:
        return " "
    kind = unicodedata.category(sign)
    if kind in _SPACES:
        return " "
    return "" if kind == _INVISIBLE or kind in _REFUSED else sign
