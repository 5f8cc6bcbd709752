"""From the tables of a scheme file to a ``Scheme``, or every fault of the file at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.schemes.model import (
    ArrowEnds,
    Band,
    Caveat,
    ElementKind,
    EquipmentRule,
    FaceRule,
    GapRule,
    PaintRule,
    Pairing,
    Scheme,
    Service,
    SizeTable,
)
from layouts.schemes.plant_words import read_cutoffs, read_second, read_unsettled, words_of
from layouts.schemes.rows import Faults, Row, Table
from layouts.schemes.sizes import read_sizes
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding
from layouts.terms.units import inches
from layouts.terms.words import Level, State

# Every plate, no plate, and the process plates (ISO 32000-1, 8.6.6.4 and 8.6.4.4).
_PLATES = ("All", "None", "Cyan", "Magenta", "Yellow", "Black")
_NO_SIZES = SizeTable((), GapRule.NONE, False, None, False, "", "", "")


def build_scheme(values: Table, origin: str, found: Sequence[Finding] = ()) -> Scheme:
    """The scheme that the merged tables describe.

    ``found`` are faults met before the merge. Raises ``InputError`` with every fault.
    """
    faults = Faults(origin, "scheme")
    faults.found.extend(found)
    top = Row(values, "", faults)
    top.child("sources", needed=False)
    inks = _inks(top)
    bands = _bands(top)
    levels = top.child("levels", needed=False)
    scheme = Scheme(
        key=top.text("key"),
        title=top.text("title"),
        standard=top.text("standard"),
        edition=top.text("edition"),
        built_from=top.text("built_from"),
        missing=top.text("missing", ""),
        contents=top.text("contents").upper(),
        inks=inks,
        pairings=_pairings(top),
        states=_states(top, bands),
        levels=_levels(levels, bands),
        cutoff_psig=levels.number("cutoff_psig") if levels.has("cutoff_psig") else None,
        cutoff_source=levels.source() if levels.has("cutoff_psig") else "",
        services={service.code: service for service in _services(top)},
        sizes=_NO_SIZES if not top.has("sizes") else read_sizes(top.child("sizes")),
        face=_face(top.child("face")),
        equipment=_equipment(top.child("equipment")),
        paints=tuple(_paint(row) for row in top.children("paints", "service")),
        caveats=tuple(_caveat(row) for row in top.children("caveats", "code")),
        extends=top.text("extends", ""),
        level_contents=words_of(levels, "contents"),
        cutoffs=read_cutoffs(top),
        unsettled=tuple(read_unsettled(row) for row in top.children("unsettled", "key")),
        second=read_second(top.child("legend")) if top.has("legend") else None,
        others=top.text("others", ""),
        written_contents=top.flag("written_contents", False),
    )
    if not top.has("sizes"):
        top.fault("missing", "sizes", "the sizing table is missing", "write it under [sizes]")
    levels.close()
    top.close()
    _cross_check(scheme, bands, top)
    if faults.found:
        raise InputError(faults.found)
    return scheme


def _inks(top: Row) -> dict[str, Ink]:
    inks = {}
    table = top.child("inks")
    for name in table.names():
        row = table.child(name)
        role = row.text("role", "color")
        if role not in {kind.value for kind in InkRole} - {InkRole.STEP.value}:
            row.fault(
                "value", "role", f"{role!r} is not an ink role", "write color, black or paper"
            )
            role = "color"
        if name in _PLATES:
            what = f"{name!r} is a name that PDF gives a meaning of its own"
            table.fault("value", name, what, "give the ink another name")
        inks[name] = Ink(
            name=name,
            lab=Lab(*row.numbers("lab", 3)),
            role=InkRole(role),
            munsell=row.text("munsell", "") or None,
            source=row.source(),
            status=row.status(),
        )
        row.close()
    return inks


def _pairings(top: Row) -> tuple[Pairing, ...]:
    pairings = []
    for row in top.children("pairings", "key"):
        pairing = Pairing(
            key=row.text("key"),
            meaning=row.text("meaning"),
            field=row.text("field"),
            legend=row.text("legend"),
            second=row.text("second", ""),
            contents=words_of(row, "contents"),
            source=row.source(),
            status=row.status(),
        )
        row.close()
        pairings.append(pairing)
    if not pairings:
        top.fault("missing", "pairings", "no field and legend ink is given", "write [[pairings]]")
    return tuple(pairings)


def _bands(top: Row) -> dict[str, Band]:
    bands = {}
    for row in top.children("bands", "word"):
        band = Band(
            word=row.text("word"),
            field=row.text("field"),
            ink=row.text("ink"),
            source=row.source(),
            status=row.status(),
        )
        row.close()
        bands[band.word] = band
    return bands


def _states(top: Row, bands: Mapping[str, Band]) -> dict[State, tuple[Band, ...]]:
    table = top.child("states", needed=False)
    states = {}
    for state in State:
        words = table.texts(state.value)
        known = tuple(bands[word] for word in words if _known_band(table, state, word, bands))
        if known:
            states[state] = known
    table.close()
    return states


def _levels(table: Row, bands: Mapping[str, Band]) -> dict[Level, Band]:
    words = {level: table.text(level.value, "") for level in Level}
    return {
        level: bands[word]
        for level, word in words.items()
        if word and _known_band(table, level, word, bands)
    }


def _known_band(table: Row, key: str, word: str, bands: Mapping[str, Band]) -> bool:
    if word in bands:
        return True
    right = f"write [[bands]] for it or name one of {', '.join(bands) or 'none written yet'}"
    table.fault("band-unknown", key, f"there is no band {word!r}", right)
    return False


def _services(top: Row) -> list[Service]:
    services = []
    for row in top.children("services", "code"):
        state, level = row.word("state", State), row.word("level", Level)
        service = Service(
            code=row.text("code").upper(),
            meaning=row.text("meaning"),
            usual_state=state,
            usual_level=level,
            usual_status=row.status("usual_status") if row.has("usual_status") else "",
            one_way=row.flag("one_way", True),
            note=row.text("note", ""),
            source=row.source(),
            status=row.status(),
        )
        if (state or level) and not service.usual_status:
            right = "say how well the usual state and level are known"
            row.fault("status-unknown", "usual_status", "the usual values have no status", right)
        row.close()
        services.append(service)
    return services


def _face(row: Row) -> FaceRule:
    share, corner = row.number("band_letter_share"), row.number("corner_share")
    if share <= 0 or share > 1:
        what = f"{share:g} is not a share of the letter height"
        row.fault("value", "band_letter_share", what, "write a number over 0 and up to 1")
    if corner < 0 or corner > 0.5:
        what = f"{corner:g} is not a share of the marker height"
        row.fault("value", "corner_share", what, "write a number from 0 to 0.5")
    step = row.length("length_step")
    if step <= 0:
        row.fault("value", "length_step", "the length step is zero", 'write it as "1/4 in"')
    order = row.words("order", ElementKind)
    if ElementKind.LEGEND not in order:
        row.fault("value", "order", "the order has no legend", 'write "legend" where it goes')
    rule = FaceRule(
        order=order,
        arrow_ends=row.word("arrow_ends", ArrowEnds) or ArrowEnds.BOTH,
        band_letter_share=share,
        length_step=step,
        length_step_text="" if math.isnan(step) else row.text("length_step"),
        corner_share=corner,
        source=row.source(),
    )
    row.close()
    return rule


def _equipment(row: Row) -> EquipmentRule:
    rule = EquipmentRule(
        marker_height=row.length("height"),
        letter_height=row.length("letters"),
        field=row.text("field"),
        ink=row.text("ink"),
        pressure_band=row.flag("pressure_band"),
        source=row.source(),
        status=row.status(),
    )
    if rule.letter_height > rule.marker_height:
        what = f"letters of {inches(rule.letter_height)} are higher than their marker"
        row.fault("value", "letters", what, f"write at most {inches(rule.marker_height)}")
    row.close()
    return rule


def _paint(row: Row) -> PaintRule:
    rule = PaintRule(
        service=row.text("service"),
        color=row.text("color"),
        ink=row.text("ink"),
        codes=row.texts("codes"),
        state=row.word("state", State),
        level=row.word("level", Level),
        source=row.source(),
        status=row.status(),
        contents=words_of(row, "contents"),
    )
    if not (rule.codes or rule.contents or rule.state or rule.level):
        what = "the paint rule says for no line that it applies"
        row.fault("missing", "codes", what, "write codes, contents, or state and level")
    row.close()
    return rule


def _caveat(row: Row) -> Caveat:
    caveat = Caveat(
        code=row.text("code"),
        what=row.text("what"),
        right=row.text("right", ""),
        source=row.source(),
        blocking=row.flag("blocking"),
        applies_to_state=row.word("applies_to_state", State),
    )
    row.close()
    return caveat


def _cross_check(scheme: Scheme, bands: Mapping[str, Band], top: Row) -> None:
    """Faults that only show between rows: unknown inks, ink on its own field, codes, cutoff."""
    uses = [(f"pairings[{p.key}]", p.field, p.legend) for p in scheme.pairings]
    uses += [(f"pairings[{p.key}].second", p.field, p.second) for p in scheme.pairings if p.second]
    uses += [(f"bands[{b.word}]", b.field, b.ink) for b in bands.values()]
    uses.append(("equipment", scheme.equipment.field, scheme.equipment.ink))
    for path, field, ink in uses:
        for name in dict.fromkeys((field, ink)):
            _check_ink(scheme, f"{path}", name, top)
        if field and field == ink:
            what = f"{ink!r} lettering stands on a {field!r} field and cannot be seen"
            top.fault("ink-on-itself", path, what, "name two inks that differ")
    for paint in scheme.paints:
        _check_ink(scheme, f"paints[{paint.service}]", paint.ink, top)
        for code in paint.codes:
            if code not in scheme.services:
                what = f"the code {code!r} is not a service of this scheme"
                top.fault("code-unknown", f"paints[{paint.service}].codes", what, "write it so")
    _check_bands(scheme, bands, top)
    if scheme.levels and scheme.cutoff_psig is None and not scheme.cutoffs:
        what = "the levels have no cutoff pressure"
        top.fault("missing", "levels.cutoff_psig", what, "write it, such as cutoff_psig = 70.0")


def _check_ink(scheme: Scheme, path: str, name: str, top: Row) -> None:
    if name and name not in scheme.inks:
        right = f"write it under [inks] or name one of {', '.join(scheme.inks)}"
        top.fault("ink-unknown", path, f"there is no ink {name!r}", right)


def _check_bands(scheme: Scheme, bands: Mapping[str, Band], top: Row) -> None:
    for band in bands.values():
        for pairing in scheme.pairings:
            if band.field and band.field == pairing.field:
                what = (
                    f"the band {band.word!r} has the ink of the field it stands on ({band.field})"
                )
                top.fault("band-on-own-field", f"bands[{band.word}].field", what, "name another")
