"""The scheme loader: the only reader of files in ``layouts``, and only of its own data.

A plant's own file arrives as text or as tables and names with ``extends`` the built-in scheme
that it starts from. Tables merge key by key; lists of tables merge row by row on the key of the
row (``remove = true`` drops one); every other value replaces what was there. ``rows_of`` under
``[sizes]`` takes the size table of a built-in scheme in place of the one that was there.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from layouts.schemes.door_signs import SignForms, build_signs
from layouts.schemes.lifetimes import Lifetime, build_lifetimes
from layouts.schemes.limits import PlausibleLimits, build_limits
from layouts.schemes.media import Media, build_media
from layouts.schemes.model import Scheme
from layouts.schemes.practice import Practice, build_practice
from layouts.schemes.rows import Table, row_key, with_sources
from layouts.schemes.saturation import PhaseData, build_phases
from layouts.schemes.scheme_check import build_scheme
from layouts.schemes.spacing import EyeHeight, SpacingRule, Spacings, build_rule, build_spacings
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Place, Severity

DEFAULT_SCHEME = "ammonia-2014"
DEFAULT_SPACING = "common-40ft-fittings"
_BUILT_IN = (
    DEFAULT_SCHEME,
    "ammonia-2018",
    "ammonia-1991",
    "asme-a13-1",
    "din-2403",
    "iso-20560-1",
    "iso-14726",
    "mil-std-101c",
)
# The key that names a row, for each list of tables.
_ROW_KEYS = {
    "pairings": "key",
    "bands": "word",
    "services": "code",
    "rows": "label",
    "paints": "service",
    "caveats": "code",
    "unsettled": "key",
}


def scheme_keys() -> tuple[str, ...]:
    """The built-in schemes, the default first."""
    return _BUILT_IN


def load_scheme(key_or_mapping: str | Table = DEFAULT_SCHEME) -> Scheme:
    """A built-in scheme by its key, or a plant's own by its tables.

    Raises ``InputError`` with every fault.
    """
    if isinstance(key_or_mapping, str):
        return _built_in(key_or_mapping)
    return _scheme_from(key_or_mapping, "scheme")


def scheme_from_toml(text: str, origin: str) -> Scheme:
    """A plant's own scheme from the text of its TOML file; ``origin`` names it in findings."""
    return _scheme_from(_parse(text, origin), origin)


def scheme_from_tables(tables: Table, origin: str) -> Scheme:
    """A plant's own scheme from the tables of its file; ``origin`` names it in findings."""
    try:
        return _scheme_from(tables, origin)
    except (TypeError, AttributeError, OverflowError, KeyError) as error:
        what = f"a value is not of the kind that its key takes ({error})"
        raise _refusal("scheme-unreadable", origin, "", what) from error


@lru_cache
def load_practice() -> Practice:
    """Films, adhesives, plates and straps, and the limits that choose between them."""
    return build_practice(_read_table("mounting"), "mounting.toml")


@lru_cache
def load_media() -> Media:
    """Every medium and its names."""
    return build_media(_read_table("media"), "media.toml")


@lru_cache
def load_phases() -> PhaseData:
    """Where media boil and mixtures freeze."""
    return build_phases(_read_table("saturation"), "saturation.toml")


@lru_cache
def load_limits() -> PlausibleLimits:
    """What a plant can plausibly hold."""
    return build_limits(_read_table("limits"), "limits.toml")


@lru_cache
def load_lifetimes() -> tuple[Lifetime, ...]:
    """How long markers last by film, laminate and exposure."""
    return build_lifetimes(_read_table("lifetimes"), "lifetimes.toml")


@lru_cache
def load_signs() -> SignForms:
    """What signs beside the pipes are made like."""
    return build_signs(_read_table("door_signs"), "door_signs.toml")


def lifetimes_from_toml(text: str, origin: str) -> tuple[Lifetime, ...]:
    """A plant's own lifetimes from the text of its TOML file, before the usual ones.

    Raises ``InputError`` with every fault.
    """
    return (*build_lifetimes(with_sources(_parse(text, origin)), origin), *load_lifetimes())


def other_scheme(scheme: Scheme) -> Scheme | None:
    """The scheme for contents that this one does not carry; None where it names none."""
    return load_scheme(scheme.others) if scheme.others else None


def spacing_keys() -> tuple[str, ...]:
    """The built-in spacing rules, the default first."""
    return tuple(rule.key for rule in _spacings().rules)


def load_spacing(
    key_or_mapping: str | Table = DEFAULT_SPACING, origin: str = "spacing"
) -> SpacingRule:
    """A built-in spacing rule by its key, or a plant's own by its table.

    A plant's own table has its own ``key`` and may name with ``extends`` the built-in rule
    that it starts from. Raises ``InputError`` with every fault; ``origin`` names the table.
    """
    keys = spacing_keys()
    if isinstance(key_or_mapping, str):
        if key_or_mapping not in keys:
            raise _unknown_spacing(key_or_mapping, origin, "spacing")
        return next(rule for rule in _spacings().rules if rule.key == key_or_mapping)
    own = dict(key_or_mapping)
    if own.get("key") in keys:
        what, right = "a plant's own rule needs its own key", 'write key = "our-plant"'
        place = Place(file=origin, field="key")
        raise InputError(
            [Finding("spacing-key-taken", Severity.UNREADABLE, what, right, place=place)]
        )
    base = own.pop("extends", None)
    if base is None:
        return build_rule(own, origin)
    if base not in keys:
        raise _unknown_spacing(base, origin, "extends")
    rules = _read_table("spacing")["rules"]
    assert isinstance(rules, list)
    row = next(row for row in rules if row["key"] == base)
    return build_rule({**row, "source": f"the plant's own rule, from {base}", **own}, origin)


def spacing_from_toml(text: str, origin: str) -> SpacingRule:
    """A plant's own spacing rule from the text of its TOML file."""
    return load_spacing(_parse(text, origin), origin)


def eye_height() -> EyeHeight:
    """How high a standing reader's eyes are."""
    return _spacings().eye


@lru_cache
def _spacings() -> Spacings:
    return build_spacings(_read_table("spacing"), "spacing.toml")


def _unknown_spacing(name: object, origin: str, field: str) -> InputError:
    right = f"name one of {', '.join(spacing_keys())}, or write a rule of your own"
    what, place = f"there is no spacing rule {name!r}", Place(file=origin, field=field)
    return InputError([Finding("spacing-unknown", Severity.UNREADABLE, what, right, place=place)])


@lru_cache
def _built_in(key: str) -> Scheme:
    return build_scheme(_tables(key), f"{key}.toml")


def _scheme_from(values: Table, origin: str) -> Scheme:
    values = with_sources(values)
    base = values.get("extends")
    if base is None:
        merged = _laid_over(_palette(), values, origin)
    elif isinstance(base, str) and base in _BUILT_IN:
        merged = _laid_over(_tables(base), values, origin)
    else:
        raise _refusal("scheme-base-unknown", origin, "extends", f"there is no scheme {base!r}")
    return build_scheme(merged, origin, _taken_key(values, origin))


def _taken_key(values: Table, origin: str) -> list[Finding]:
    """A changed scheme under the old name would pass for the edition itself."""
    key = values.get("key")
    if key not in _BUILT_IN and not (key is None and "extends" in values):
        return []
    what = "a plant's own scheme needs its own key"
    right = 'write one, such as key = "our-plant"'
    place = Place(file=origin, field="key")
    return [Finding("scheme-key-taken", Severity.UNREADABLE, what, right, place=place)]


def _tables(key: str) -> Table:
    """The merged tables of a built-in scheme. Raises ``InputError`` for an unknown key."""
    if key not in _BUILT_IN:
        raise _refusal("scheme-unknown", "", "scheme", f"there is no scheme {key!r}")
    values = _read_table(key)
    base = values.get("extends")
    under = _tables(base) if isinstance(base, str) else _palette()
    return _laid_over(under, values, f"{key}.toml")


def _laid_over(base: Table, values: Table, origin: str) -> Table:
    """One file over the tables it starts from, with the size table it takes from a scheme."""
    sizes = values.get("sizes")
    if not isinstance(sizes, Mapping) or "rows_of" not in sizes:
        return _merge(base, _with_language(values))
    donor = sizes["rows_of"]
    if not isinstance(donor, str) or donor not in _BUILT_IN:
        what = f"there is no scheme {donor!r}"
        raise _refusal("scheme-base-unknown", origin, "sizes.rows_of", what)
    table = _tables(donor)["sizes"]
    assert isinstance(table, Mapping)
    own = {key: value for key, value in sizes.items() if key != "rows_of"}
    rest = {key: value for key, value in base.items() if key != "sizes"}
    return _merge(rest, _with_language({**values, "sizes": _merge(table, own)}))


def _with_language(values: Table) -> Table:
    """The tables with the built-in words of the language that ``[legend]`` names."""
    legend = values.get("legend")
    known = _read_table("languages")
    if not isinstance(legend, Mapping) or "known" in legend:
        return values
    language = legend.get("language")
    words = known.get(language) if isinstance(language, str) else None
    return values if words is None else {**values, "legend": {**legend, "known": words}}


def _palette() -> Table:
    return _read_table("inks")


@lru_cache
def _read_table(name: str) -> Table:
    from importlib.resources import files

    data = files("layouts.schemes").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return with_sources(_parse(data, f"{name}.toml"))


def _parse(text: str, origin: str) -> Table:
    import tomllib

    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = Place(file=origin)
        what = f"the file is not TOML: {error}"
        right = "write key = value lines under [table] headings"
        raise InputError(
            [Finding("scheme-unreadable", Severity.UNREADABLE, what, right, place=place)]
        ) from error


def _refusal(code: str, origin: str, field: str, what: str) -> InputError:
    right = f"name one of {', '.join(_BUILT_IN)}"
    place = Place(file=origin, field=field)
    return InputError([Finding(code, Severity.UNREADABLE, what, right, place=place)])


def _merge(base: Table, change: Table) -> Table:
    """The base with the change laid over it; neither is altered."""
    merged = dict(base)
    for key, value in change.items():
        old = merged.get(key)
        if isinstance(old, Mapping) and isinstance(value, Mapping):
            merged[key] = _merge(old, value)
        elif key in _ROW_KEYS and isinstance(old, list) and isinstance(value, list):
            merged[key] = _merge_rows(old, value, _ROW_KEYS[key])
        else:
            merged[key] = value
    return merged


def _merge_rows(base: list[object], change: list[object], name: str) -> list[object]:
    """Rows of the base, changed or dropped by their key, then the new ones in their order."""
    changes: dict[object, object] = {}
    for position, row in enumerate(change):
        key = row_key(row.get(name, position)) if isinstance(row, Mapping) else position
        # A key written twice in the change stays twice, so that the check can say so.
        changes[key if key not in changes else (key, position)] = row
    merged: list[object] = []
    for row in base:
        key = row_key(row.get(name)) if isinstance(row, Mapping) else None
        update = changes.pop(key, None)
        if isinstance(row, Mapping) and isinstance(update, Mapping):
            row = {**_merge(row, update), name: row[name]}  # in the spelling of the base
        merged.append(row)
    merged.extend(changes.values())
    return [row for row in merged if not (isinstance(row, Mapping) and row.get("remove") is True)]
