"""Commands for one marker: the technician's way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperCommand

from render.cli.common import (
    ONE,
    OUTPUT,
    AsJson,
    FontFile,
    ForceFile,
    ProfileFile,
    Quiet,
    ShopFile,
    app,
    examples,
    faults_told,
    option,
)

if TYPE_CHECKING:
    from render.one_marker import Drawing

SAYS, PIPE, BUILD, PLACE, SHORT, SIZES = (
    "What it says",
    "The pipe",
    "Surface and surroundings",
    "Where it goes",
    "Short forms",
    "Size, where it must differ",
)
# Spellings that are taken as well: the words of the list and of the order file.
_OTHERS = {
    "--pressure": "--psig",
    "--valve-size": "--size",
    "--normal-position": "--normal",
    "--neighbor-letter": "--same-letter",
    "--neighbor-height": "--same-height",
    "--neighbor-length": "--same-length",
    "--viewing-distance": "--viewing",
    "--letter-height": "--letter",
    "--applied": "--applied-at",
}
_SPELLED = {option: other for other, option in _OTHERS.items()}


class Command(TyperCommand):
    """A command that takes other spellings of its options and remembers what was typed."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the options, each by its first spelling."""
        split = [each.partition("=") if each[:2] == "--" else (each, "", "") for each in args]
        ctx.meta["typed"] = frozenset(name for name, _, _ in split)
        known = ["".join((_OTHERS.get(name, name), sign, rest)) for name, sign, rest in split]
        found: list[str] = super().parse_args(ctx, known)
        return found


def _words(*words: str) -> Callable[[str], list[str]]:
    """Completion for a word of a closed vocabulary."""

    def complete(incomplete: str) -> list[str]:
        return [word for word in words if word.startswith(incomplete.lower())]

    return complete


def _choice(name: str, help_text: str, panel: str, *words: str) -> Any:
    return typer.Option(
        f"--{name}",
        help=f"{help_text}: {', '.join(words[:-1])} or {words[-1]}.",
        rich_help_panel=panel,
        metavar="WORD",
        autocompletion=_words(*words),
    )


OutFile = Annotated[
    Path | None,
    typer.Option(
        "-o",
        "--output",
        help="File to write: .pdf, .svg, .dxf or .png. Default: a .pdf named by its words.",
        rich_help_panel=OUTPUT,
        metavar="FILE",
    ),
]
Psig = Annotated[
    str,
    option(
        "psig",
        "Maximum normal operating pressure, defrost excluded; in psig, or as 12bar.",
        SAYS,
        metavar="PRESSURE",
    ),
]
Level = Annotated[str, _choice("level", "If no pressure is known", SAYS, "high", "low")]
Contents = Annotated[
    str, option("contents", "What is in the line. Default: the scheme's own.", SAYS, metavar="TEXT")
]
Color = Annotated[
    str,
    option(
        "color", "The plant's color for contents such as CO2, as in purple.", SAYS, metavar="COLOR"
    ),
]
Cutoff = Annotated[
    str,
    option("cutoff", "The plant's cutoff pressure for such contents.", SAYS, metavar="PRESSURE"),
]
Accept = Annotated[
    list[str] | None,
    option(
        "accept",
        'Accept a blocked finding: "CODE=why it is right here".',
        OUTPUT,
        metavar="CODE=REASON",
    ),
]
Surface = Annotated[
    str, option("surface", "Peak surface temperature, in F.", BUILD, metavar="TEMPERATURE")
]
Operating = Annotated[
    str,
    option(
        "operating", "Operating temperature of the contents, in F.", BUILD, metavar="TEMPERATURE"
    ),
]
AppliedAt = Annotated[
    str,
    option(
        "applied-at", "Surface temperature at installation, in F.", BUILD, metavar="TEMPERATURE"
    ),
]
Frost = Annotated[
    str, option("frost", "Thickest frost expected, in inches. Default: 0.", BUILD, metavar="LENGTH")
]
Surroundings = Annotated[
    str,
    option(
        "environment", "indoor, outdoor, washdown, or two. Default: indoor.", BUILD, metavar="WORDS"
    ),
]
FoodZone = Annotated[
    bool, option("food-zone", "Over or beside food, where nothing may come loose.", BUILD)
]
Outdoor = Annotated[bool, option("outdoor", "Same as --environment outdoor.", SHORT)]
Washdown = Annotated[bool, option("washdown", "Same as --environment washdown.", SHORT)]
Viewing = Annotated[
    str,
    option(
        "viewing", "Reading distance, in feet. Default: by the size.", BUILD, metavar="DISTANCE"
    ),
]
Area = Annotated[str, option("area", "Area of the plant.", PLACE, metavar="TEXT")]
Location = Annotated[str, option("location", "Place within the area.", PLACE, metavar="TEXT")]
LineNumber = Annotated[str, option("line", "Line number.", PLACE, metavar="TEXT")]
DrawingSheet = Annotated[str, option("drawing", "P&ID sheet.", PLACE, metavar="TEXT")]
Scheme = Annotated[
    str,
    option("scheme", "See pipelegend schemes. Default: ammonia-2014.", OUTPUT, metavar="SCHEME"),
]
Paper = Annotated[
    str,
    option(
        "paper",
        "Full size on office paper, tiled: letter, a4 or another stock.",
        OUTPUT,
        metavar="STOCK",
    ),
]
Letter = Annotated[
    str,
    option("letter", "Letter height, in inches; not below the table's.", SIZES, metavar="LENGTH"),
]
SameLetter = Annotated[
    str,
    option(
        "same-letter",
        "A neighbor's letters, in inches.",
        SIZES,
        metavar="LENGTH",
    ),
]
SameHeight = Annotated[
    str,
    option(
        "same-height",
        "A neighbor's height, in inches.",
        SIZES,
        metavar="LENGTH",
    ),
]
SameLength = Annotated[
    str,
    option(
        "same-length",
        "A neighbor's length, in inches.",
        SIZES,
        metavar="LENGTH",
    ),
]


@app.command(
    cls=Command,
    rich_help_panel=ONE,
    epilog=examples(
        "pipelegend marker HPL --state liquid --psig 185 --girth 31in --flow right",
        'pipelegend marker HTRS --state both --psig 30 --pipe "NPS 4" --covering 1.5in '
        "--flow left -o m.pdf",
    ),
)
def marker(
    ctx: typer.Context,
    service: Annotated[str, typer.Argument(help="Service abbreviation, such as HTRS.")] = "",
    state: Annotated[str, _choice("state", "State", SAYS, "liquid", "vapor", "both")] = "",
    psig: Psig = "",
    level: Level = "",
    flow: Annotated[
        str,
        _choice(
            "flow",
            "Facing the marker",
            SAYS,
            *("right", "left", "up", "down", "reversing", "none"),
        ),
    ] = "",
    contents: Contents = "",
    color: Color = "",
    cutoff: Cutoff = "",
    legend: Annotated[
        str, option("legend", "Words in place of the contents.", SAYS, metavar="TEXT")
    ] = "",
    meaning: Annotated[
        str, option("meaning", "What a local abbreviation stands for.", SAYS, metavar="TEXT")
    ] = "",
    lines: Annotated[str, option("lines", "1 or 2 lines. Default: 1.", SAYS, metavar="N")] = "",
    pipe: Annotated[
        str, option("pipe", 'Such as "NPS 4", DN100, 114.3mm, "tube 7/8in".', PIPE, metavar="SIZE")
    ] = "",
    covering: Annotated[
        str,
        option("covering", "Insulation and jacket, in inches; 0 if bare.", PIPE, metavar="LENGTH"),
    ] = "",
    girth: Annotated[
        str,
        option(
            "girth",
            "Circumference over the insulation, in inches; replaces --pipe and --covering.",
            PIPE,
            metavar="LENGTH",
        ),
    ] = "",
    od: Annotated[
        str, option("od", "OD over the insulation, in inches.", PIPE, metavar="LENGTH")
    ] = "",
    run: Annotated[
        str,
        _choice("run", "How the pipe runs, by default horizontal", PIPE, "horizontal", "vertical"),
    ] = "",
    side: Annotated[
        str, _choice("side", "Sides it is read from, by default one", PIPE, "one", "both")
    ] = "",
    straight: Annotated[
        str,
        option("straight", "Straight run it must fit on, in inches.", PIPE, metavar="LENGTH"),
    ] = "",
    paint: Annotated[
        str, option("paint", "Color of the pipe or its jacket.", PIPE, metavar="COLOR")
    ] = "",
    face: Annotated[
        str, _choice("face", "Length of the face, by default full", SIZES, "full", "compact")
    ] = "",
    wrap: Annotated[bool, option("wrap", "Wrap around a small pipe.", PIPE)] = False,
    surface: Surface = "",
    operating: Operating = "",
    applied_at: AppliedAt = "",
    frost: Frost = "",
    environment: Surroundings = "",
    food_zone: FoodZone = False,
    viewing: Viewing = "",
    area: Area = "",
    location: Location = "",
    line: LineNumber = "",
    drawing: DrawingSheet = "",
    letter: Letter = "",
    length: Annotated[
        str, option("length", "In inches; not below the table's.", SIZES, metavar="LENGTH")
    ] = "",
    same_letter: SameLetter = "",
    same_height: SameHeight = "",
    same_length: SameLength = "",
    vertical: Annotated[bool, option("vertical", "Same as --run vertical.", SHORT)] = False,
    both_sides: Annotated[bool, option("both-sides", "Same as --side both.", SHORT)] = False,
    two_lines: Annotated[bool, option("two-lines", "Same as --lines 2.", SHORT)] = False,
    outdoor: Outdoor = False,
    washdown: Washdown = False,
    scheme: Scheme = "",
    accept: Accept = None,
    paper: Paper = "",
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    output: OutFile = None,
    force: ForceFile = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Draw a marker for a pipe at full size."""
    _draw_one(
        "pipe",
        ctx,
        run="vertical" if vertical else run,
        side="both" if both_sides else side,
        lines="2" if two_lines else lines,
    )


@app.command(
    cls=Command,
    rich_help_panel=ONE,
    epilog=examples(
        'pipelegend equipment "High pressure receiver" --tag HPR-1 --level high',
        "pipelegend equipment Evaporator --tag AC-4 --psig 30 --applied-at -10F -o ac-4.pdf",
    ),
)
def equipment(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help='Such as "High pressure receiver".')] = "",
    tag: Annotated[str, option("tag", "Number, such as HPR-1.", SAYS, metavar="TAG")] = "",
    psig: Psig = "",
    level: Level = "",
    contents: Contents = "",
    color: Color = "",
    cutoff: Cutoff = "",
    lines: Annotated[
        str, option("lines", "1 or 2 lines. Default: by its length.", SAYS, metavar="N")
    ] = "",
    small: Annotated[
        bool, option("small", "A small part, sized by reading distance.", SIZES)
    ] = False,
    covering: Annotated[
        str,
        option("covering", "Insulation and jacket, in inches; 0 if bare.", BUILD, metavar="LENGTH"),
    ] = "",
    surface: Surface = "",
    operating: Operating = "",
    applied_at: AppliedAt = "",
    frost: Frost = "",
    environment: Surroundings = "",
    food_zone: FoodZone = False,
    viewing: Viewing = "",
    area: Area = "",
    location: Location = "",
    drawing: DrawingSheet = "",
    letter: Letter = "",
    same_letter: SameLetter = "",
    same_height: SameHeight = "",
    same_length: SameLength = "",
    outdoor: Outdoor = False,
    washdown: Washdown = False,
    scheme: Scheme = "",
    accept: Accept = None,
    paper: Paper = "",
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    output: OutFile = None,
    force: ForceFile = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Draw a marker for a vessel or a machine."""
    _draw_one("equipment", ctx)


@app.command(
    cls=Command,
    rich_help_panel=ONE,
    epilog=examples(
        "pipelegend valve HV-101 --service LSS --function Stop --size 4in --normal open",
        'pipelegend valve HV-118 --service HPL --function "King valve" --emergency --drawing P-101',
    ),
)
def valve(
    ctx: typer.Context,
    tag: Annotated[str, typer.Argument(help="Valve number, such as HV-101.")],
    service: Annotated[str, option("service", "Service abbreviation.", SAYS, metavar="CODE")] = "",
    function: Annotated[
        str, option("function", 'Such as "Liquid stop".', SAYS, metavar="TEXT")
    ] = "",
    contents: Contents = "",
    color: Color = "",
    size: Annotated[str, option("size", 'Valve size, such as "NPS 3".', SAYS, metavar="SIZE")] = "",
    normal: Annotated[
        str,
        option("normal", "Normal position, open or closed.", SAYS, metavar="WORD"),
    ] = "",
    emergency: Annotated[bool, option("emergency", "An emergency valve.", SAYS)] = False,
    lockout: Annotated[
        bool, option("lockout", "A point where the line is isolated and locked out.", SAYS)
    ] = False,
    side: Annotated[
        str, _choice("side", "Sides it is read from, by default one", SIZES, "one", "both")
    ] = "",
    shape: Annotated[
        str, _choice("shape", "Shape, by default rectangle", SIZES, "rectangle", "round")
    ] = "",
    surface: Surface = "",
    operating: Operating = "",
    applied_at: AppliedAt = "",
    frost: Frost = "",
    environment: Surroundings = "",
    food_zone: FoodZone = False,
    viewing: Viewing = "",
    area: Area = "",
    location: Location = "",
    line: LineNumber = "",
    drawing: DrawingSheet = "",
    round_tag: Annotated[bool, option("round", "Same as --shape round.", SHORT)] = False,
    both_sides: Annotated[bool, option("both-sides", "Same as --side both.", SHORT)] = False,
    outdoor: Outdoor = False,
    washdown: Washdown = False,
    scheme: Scheme = "",
    accept: Accept = None,
    paper: Paper = "",
    shop: ShopFile = None,
    font: FontFile = None,
    profile: ProfileFile = None,
    output: OutFile = None,
    force: ForceFile = False,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Draw a tag for a valve."""
    _draw_one(
        "valve",
        ctx,
        side="both" if both_sides else side,
        shape="round" if round_tag else shape,
    )


_SUFFIXES = (".pdf", ".svg", ".dxf", ".png")
# Options that are not words of the marker itself.
_NOT_WORDS = frozenset(
    {
        *("output", "force", "as_json", "quiet", "shop", "font", "profile", "paper"),
        *("vertical", "both_sides", "two_lines", "round_tag", "outdoor", "washdown"),
    }
)


def _draw_one(kind: str, ctx: typer.Context, **longer: str) -> None:
    """Draw one marker and write it; its findings go to the terminal.

    ``longer`` holds the words that a short form of the command replaces.
    """
    from layouts.terms.words import Kind
    from render.cli.show import single_json, single_lines
    from render.cli.terminal import print_findings, print_lines
    from render.files.atomic import write_file
    from render.files.overwrite import refuse_existing
    from render.one_marker import Files, draw_words

    given = ctx.params
    words = {name: value for name, value in given.items() if name not in _NOT_WORDS} | longer
    short = [word for word in ("outdoor", "washdown") if given[word]]
    words["environment"] = " ".join(filter(None, (given["environment"], *short)))
    files = Files(given["shop"], given["font"], given["profile"], given["paper"])
    with faults_told(given["as_json"]):
        if given["output"] is not None:
            refuse_existing(given["output"], given["force"], _SUFFIXES)
        drawn = draw_words(Kind(kind), words, files, _door(kind, ctx.meta))
        target = given["output"] or _free_name(drawn)
        write_file(target, drawn.data(target.suffix))
    if given["as_json"]:
        typer.echo(single_json(drawn.markers, drawn.findings, target))
    elif not given["quiet"]:
        print_findings(drawn.findings)
        print_lines(single_lines(drawn.markers, target))


def _door(kind: str, meta: Mapping[str, Any]) -> Any:
    """How a finding names a word: the option as it was typed, or the argument."""
    from render.one_marker import Door

    argument = {"pipe": "service", "equipment": "name", "valve": "tag"}[kind]
    typed = meta["typed"]

    def name(word: str) -> str:
        if word == argument:
            return word.upper()
        spelled = f"--{word.rstrip('_').replace('_', '-')}"
        other = _SPELLED.get(spelled, spelled)
        return other if other in typed else spelled

    return Door(name, lambda word, value: f"{name(word)} {value}")


def _free_name(drawn: Drawing) -> Path:
    """A file named by what the marker says.

    Raises:
        OutputError: there is one of that name already.
    """
    import re

    from layouts.terms.errors import OutputError

    plan = drawn.markers[0].plan
    words = plan.name if plan.kind == "valve" else drawn.words
    path = Path(re.sub(r"[^A-Za-z0-9]+", "-", words).strip("-") + ".pdf")
    if path.exists():
        raise OutputError(f"{path} already exists; name another file with -o", "file-exists")
    return path
