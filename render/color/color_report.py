"""Inks, what a printer makes of them and what was measured, as a table and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import TypeAlias

from layouts.drawing.ink_report import InkReport, PrintedInk
from layouts.drawing.inks import Ink, Lab, contrast
from layouts.terms.values import frozen
from render.color.verdict import ColorVerdict, InkVerdict

Json: TypeAlias = str | int | float | bool | list["Json"] | dict[str, "Json"] | None
_CHANNELS = {3: "RGB", 4: "CMYK"}


@frozen
class ColorsTable:
    """Headings and rows of text, all of one length: inks, and (field, legend) pairs."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    pair_headings: tuple[str, ...]
    pair_rows: tuple[tuple[str, ...], ...]


def colors_table(
    inks: Iterable[Ink],
    pairs: Sequence[tuple[Ink, Ink]] = (),
    report: InkReport | None = None,
    verdict: ColorVerdict | None = None,
) -> ColorsTable:
    """Each ink's Munsell and Lab D50; with a report what prints, with a verdict what was read."""
    rows = [[ink.name, ink.munsell or "-", _lab(ink.lab)] for ink in inks]
    headings = ["ink", "Munsell", "Lab D50"]
    if report:
        channels = next((_CHANNELS[len(each.device)] for each in report.inks), "CMYK")
        headings += [f"{channels} %", "prints as", "dE00", "in gamut", "nearest", "dE00"]
        printed = {each.ink.name: _printed_cells(each) for each in report.inks}
        for row in rows:
            row += printed.get(row[0], ["-"] * 6)
    if verdict:
        headings += ["measured", "dE00", "verdict"]
        read = {
            each.ink.name: [
                _lab(each.measured),
                f"{each.delta:.1f}",
                "pass" if each.passed else f"fail: {'; '.join(each.beyond)}",
            ]
            for each in verdict.inks
        }
        for row in rows:
            row += read.get(row[0], ["-"] * 3)
    pair_headings, pair_rows = _pair_table(pairs, report, verdict)
    return ColorsTable(tuple(headings), tuple(map(tuple, rows)), pair_headings, pair_rows)


def colors_json(
    inks: Iterable[Ink],
    pairs: Sequence[tuple[Ink, Ink]] = (),
    report: InkReport | None = None,
    verdict: ColorVerdict | None = None,
) -> str:
    """The same as JSON, with sources; numbers rounded to what they are known to."""
    printed = {each.ink.name: each for each in report.inks} if report else {}
    read = {each.ink.name: each for each in verdict.inks} if verdict else {}
    listed: list[Json] = []
    for ink in inks:
        row: dict[str, Json] = {
            "name": ink.name,
            "role": ink.role.value,
            "munsell": ink.munsell,
            "lab_d50": _numbers(ink.lab),
            "source": ink.source,
            "status": ink.status,
        }
        if ink.name in printed:
            row["printed"] = _printed_json(printed[ink.name])
        if ink.name in read:
            row["measured"] = _measured_json(read[ink.name])
        listed.append(row)
    out: dict[str, Json] = {"inks": listed, "pairs": _pairs_json(pairs, report, verdict)}
    if report:
        out["profile"] = {"condition": report.condition, "intent": report.intent.name.lower()}
    if verdict:
        out["readings"] = {"file": verdict.file, "passed": verdict.passed}
        out["findings"] = [
            {"code": each.code, "severity": each.severity.name.lower(), "text": each.sentence()}
            for each in verdict.findings
        ]
    return json.dumps(out, indent=2, ensure_ascii=False) + "\n"


def _printed_cells(each: PrintedInk) -> list[str]:
    reach = "-" if each.in_gamut is None else "yes" if each.in_gamut else "no"
    return [
        " ".join(f"{100 * value:.0f}" for value in each.device),
        _lab(each.printed),
        f"{each.delta:.1f}",
        reach,
        _lab(each.nearest),
        f"{each.nearest_delta:.1f}",
    ]


def _printed_json(each: PrintedInk) -> Json:
    return {
        "device": [round(value, 4) for value in each.device],
        "lab_d50": _numbers(each.printed),
        "de00": round(each.delta, 2),
        "in_gamut": each.in_gamut,
        "nearest_lab_d50": _numbers(each.nearest),
        "nearest_de00": round(each.nearest_delta, 2),
    }


def _measured_json(each: InkVerdict) -> Json:
    return {
        "lab_d50": _numbers(each.measured),
        "readings": each.count,
        "de00": round(each.delta, 2),
        "passed": each.passed,
        "beyond": list(each.beyond),
        "judged_by": each.judged_by,
        "source": each.source,
        "status": each.status,
    }


def _pair_table(
    pairs: Sequence[tuple[Ink, Ink]], report: InkReport | None, verdict: ColorVerdict | None
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    headings = ["legend on field", "contrast"]
    rows = [
        [f"{legend.name} on {field.name}", f"{contrast(field.lab, legend.lab):.1f}"]
        for field, legend in pairs
    ]
    if report:
        headings.append("as printed")
        prints = {(e.field.name, e.legend.name): f"{e.printed:.1f}" for e in report.pairs}
        for row, (field, legend) in zip(rows, pairs, strict=True):
            row.append(prints.get((field.name, legend.name), "-"))
    if verdict:
        headings += ["measured", "holds"]
        read = {
            (e.field.name, e.legend.name): [f"{e.measured:.1f}", "yes" if e.holds else "no"]
            for e in verdict.pairs
        }
        for row, (field, legend) in zip(rows, pairs, strict=True):
            row += read.get((field.name, legend.name), ["-", "-"])
    return tuple(headings), tuple(map(tuple, rows))


def _pairs_json(
    pairs: Sequence[tuple[Ink, Ink]], report: InkReport | None, verdict: ColorVerdict | None
) -> list[Json]:
    prints = {(e.field.name, e.legend.name): e for e in report.pairs} if report else {}
    read = {(e.field.name, e.legend.name): e for e in verdict.pairs} if verdict else {}
    listed: list[Json] = []
    for field, legend in pairs:
        key = field.name, legend.name
        row: dict[str, Json] = {
            "field": field.name,
            "legend": legend.name,
            "contrast": round(contrast(field.lab, legend.lab), 2),
        }
        if key in prints:
            row["printed"] = round(prints[key].printed, 2)
        if key in read:
            row["measured"] = round(read[key].measured, 2)
            row["least"] = round(read[key].least, 2)
            row["holds"] = read[key].holds
        listed.append(row)
    return listed


def _lab(lab: Lab) -> str:
    numbers = (round(value, 1) + 0.0 for value in (lab.lightness, lab.a, lab.b))
    return " ".join(f"{number:.1f}" for number in numbers)


def _numbers(lab: Lab) -> list[Json]:
    return [round(value, 2) + 0.0 for value in (lab.lightness, lab.a, lab.b)]
