"""Commands for one marker: the technician's way."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from render.cli.common import (
    AsJson,
    FontFile,
    Out,
    ProfileFile,
    Quiet,
    ShopFile,
    app,
    faults_told,
    option,
    options_of,
    print_lines,
)


class StateWord(StrEnum):
    """``--state``."""

    LIQUID = "liquid"
    VAPOR = "vapor"
    BOTH = "both"


class FlowWord(StrEnum):
    """``--flow``."""

    RIGHT = "right"
    LEFT = "left"
    UP = "up"
    DOWN = "down"
    REVERSING = "reversing"
    NONE = "none"


@app.command()
def marker(
    output: Out,
    service: Annotated[str, typer.Argument(help="service abbreviation, such as HTRS")] = "",
    state: Annotated[StateWord | None, option("state", "physical state")] = None,
    psig: Annotated[
        str, option("psig", "highest pressure in normal operation, defrost left out")
    ] = "",
    level: Annotated[str, option("level", "high or low, where no pressure is known")] = "",
    flow: Annotated[FlowWord | None, option("flow", "as you stand before it")] = None,
    pipe: Annotated[str, option("pipe", "NPS 4, DN100, 114.3 mm, tube 7/8 in")] = "",
    covering: Annotated[str, option("covering", "thickness, such as 1.5in; 0 if bare")] = "",
    girth: Annotated[str, option("girth", "a tape round the covering, such as 31in")] = "",
    od: Annotated[str, option("od", "outside diameter over the covering")] = "",
    vertical: Annotated[bool, option("vertical", "the pipe rises; flow is up or down")] = False,
    both_sides: Annotated[bool, option("both-sides", "one marker for each side")] = False,
    contents: Annotated[str, option("contents", "if not the scheme's own")] = "",
    legend: Annotated[str, option("legend", "words in place of the contents")] = "",
    meaning: Annotated[str, option("meaning", "of a local abbreviation")] = "",
    surface: Annotated[str, option("surface", "peak surface temperature, such as 200F")] = "",
    frost: Annotated[str, option("frost", "thickest frost expected")] = "",
    outdoor: Annotated[bool, option("outdoor", "lives outdoors")] = False,
    washdown: Annotated[bool, option("washdown", "is washed down")] = False,
    applied_at: Annotated[str, option("applied-at", "temperature when it is put on")] = "",
    viewing: Annotated[str, option("viewing", "reading distance, such as 20ft")] = "",
    straight: Annotated[str, option("straight", "straight run that it must fit on")] = "",
    paint: Annotated[str, option("paint", "color of the pipe's paint or jacket")] = "",
    wrap: Annotated[bool, option("wrap", "go round a small pipe")] = False,
    two_lines: Annotated[bool, option("two-lines", "set it on two lines")] = False,
    letter: Annotated[str, option("letter", "letter height, not below the row")] = "",
    length: Annotated[str, option("length", "length, not below the row")] = "",
    same_letter: Annotated[str, option("same-letter", "letters of the neighbor")] = "",
    same_height: Annotated[str, option("same-height", "height of the neighbor")] = "",
    same_length: Annotated[str, option("same-length", "length of the neighbor")] = "",
    scheme: Annotated[str, option("scheme", "see `pipelegend schemes`")] = "",
    paper: Annotated[
        str, option("paper", "over pages at true size: letter, a4 or another stock")
    ] = "",
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """One marker for a pipe, at true size; the format follows the file's suffix."""
    fields = {
        "kind": "pipe",
        "service": service,
        "state": state,
        "pressure": psig,
        "level": level,
        "flow": flow,
        "run": "vertical" if vertical else "",
        "side": "both" if both_sides else "",
        "pipe": pipe,
        "covering": covering,
        "girth": girth,
        "od": od,
        "contents": contents,
        "legend": legend,
        "meaning": meaning,
        "viewing_distance": viewing,
        "straight": straight,
        "paint": paint,
        "wrap": wrap,
        "lines": 2 if two_lines else "",
        "letter_height": letter,
        "length": length,
        "environment": _filled(
            setting="outdoor" if outdoor else "",
            surface=surface,
            frost=frost,
            washdown=washdown,
            applied_at=applied_at,
        ),
        "neighbor": _filled(
            letter_height=same_letter, marker_height=same_height, length=same_length
        ),
    }
    _draw_one(_filled(**fields), scheme, output, shop, font, as_json, quiet, paper, profile)


@app.command()
def equipment(
    output: Out,
    name: Annotated[str, typer.Argument(help="such as 'High pressure receiver'")] = "",
    tag: Annotated[str, option("tag", "number, such as HPR-1")] = "",
    psig: Annotated[str, option("psig", "pressure, where the scheme shows a level")] = "",
    level: Annotated[str, option("level", "high or low, where no pressure is known")] = "",
    small: Annotated[bool, option("small", "a small part, sized by reading distance")] = False,
    viewing: Annotated[str, option("viewing", "reading distance, such as 20ft")] = "",
    outdoor: Annotated[bool, option("outdoor", "lives outdoors")] = False,
    surface: Annotated[str, option("surface", "peak surface temperature, such as 200F")] = "",
    scheme: Annotated[str, option("scheme", "see `pipelegend schemes`")] = "",
    shop: ShopFile = None,
    font: FontFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """One marker for a vessel or a machine."""
    fields = _filled(
        kind="equipment",
        name=name,
        tag=tag,
        pressure=psig,
        level=level,
        small=small,
        viewing_distance=viewing,
        environment=_filled(setting="outdoor" if outdoor else "", surface=surface),
    )
    _draw_one(fields, scheme, output, shop, font, as_json, quiet)


@app.command()
def valve(
    output: Out,
    tag: Annotated[str, typer.Argument(help="valve number, such as HV-101")],
    service: Annotated[str, option("service", "service abbreviation")] = "",
    function: Annotated[str, option("function", "such as 'Liquid stop'")] = "",
    size: Annotated[str, option("size", "valve size, such as 'NPS 3'")] = "",
    normal: Annotated[str, option("normal", "normal position, open or closed")] = "",
    emergency: Annotated[bool, option("emergency", "an emergency valve")] = False,
    lockout: Annotated[bool, option("lockout", "the line is isolated and locked out here")] = False,
    round_tag: Annotated[bool, option("round", "a round tag")] = False,
    outdoor: Annotated[bool, option("outdoor", "lives outdoors")] = False,
    viewing: Annotated[str, option("viewing", "reading distance, such as 5ft")] = "",
    scheme: Annotated[str, option("scheme", "see `pipelegend schemes`")] = "",
    shop: ShopFile = None,
    font: FontFile = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """One tag for a valve."""
    fields = _filled(
        kind="valve",
        tag=tag,
        service=service,
        function=function,
        valve_size=size,
        normal_position=normal,
        emergency=emergency,
        lockout=lockout,
        shape="round" if round_tag else "",
        viewing_distance=viewing,
        environment=_filled(setting="outdoor" if outdoor else ""),
    )
    _draw_one(fields, scheme, output, shop, font, as_json, quiet)


def _filled(**fields: object) -> dict[str, object]:
    """The fields that were given."""
    return {key: value for key, value in fields.items() if value not in ("", None, False, {})}


def _draw_one(
    fields: dict[str, object],
    scheme: str,
    output: Path,
    shop: Path | None,
    font: Path | None,
    as_json: bool,
    quiet: bool,
    paper: str = "",
    profile: Path | None = None,
) -> None:
    """Draw one marker and write it; its findings go to the terminal."""
    from render.cli.show import single_json, single_lines
    from render.draw import draw, drawn_bytes
    from render.files.atomic import write_file
    from render.read import one_marker

    with faults_told(as_json):
        wanted = one_marker(fields, scheme)
        options = options_of(Path(), shop, font, profile)
        document, markers, findings = draw(wanted, options, paper)
        write_file(output, drawn_bytes(document, output.suffix, options))
    if as_json:
        typer.echo(single_json(markers, findings, output))
    elif not quiet:
        print_lines(single_lines(markers, findings, output))
