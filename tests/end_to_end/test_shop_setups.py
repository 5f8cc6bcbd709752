"""Shop set-ups from list to files: what the shop's file says is what other programs read.

Names of steps: ISO 19593-1:2018 as listed in the Arlington PDF model. DXF units: DXF Reference,
$INSUNITS, 4 for millimeters and 1 for inches. Widths of rolls and gaps of bridges are common
practice, no source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pydantic import BaseModel

from render.shop.shop_tables import (
    KnifeTable,
    MachineTable,
    OffcutTable,
    PlatesTable,
    PrinterTable,
    ShopTables,
    StockTable,
    TagsTable,
    ZoneTable,
)
from tests.helpers.command import MARKER, VALVE, run, write_list
from tests.helpers.pdf_system import PROFILES
from tests.helpers.shop_jobs import (
    cut_file,
    page_sizes,
    separations,
    svg_layers,
)
from tests.helpers.shop_machine_checks import (
    big_marks,
    bridges,
    by_press,
    coded,
    dxf_only,
    frame,
    inches,
    many_marks,
    merged,
    named_files,
    names,
    no_marks,
    no_notes,
    one_name,
    process,
    registered,
    relative,
    stock_machine,
    text_notes,
    titled,
    two_machines,
)
from tests.helpers.shop_setups import ROWS, Made, Setup, make, stock
from tests.helpers.shop_stock_checks import (
    by_build,
    cheapest,
    choked,
    clear,
    colored,
    dark,
    ends,
    engraved,
    holes,
    keep_outs,
    material,
    not_turned,
    offcut_first,
    plates,
    rolls,
    screws,
    second_surface,
    sheets,
    short_frames,
    slots,
    sourced,
    straight,
    thick,
    thick_tags,
    two_faces,
    wide_border,
)

SETUPS = [
    Setup("sheets", "", sheets, ("--film", "sheet-48x96in")),
    Setup("rolls in yards", stock(), rolls),
    Setup(
        "short frames",
        stock('longest_frame = "1850 mm"\nrepeat = "100 mm"\nsheets = 9', width="12 in"),
        short_frames,
    ),
    Setup("leader and trailer", stock('leader = "200 mm"\ntrailer = "100 mm"'), ends),
    Setup(
        "plates",
        stock('roles = ["plate"]\ngap = "8 mm"', "sheet", "600 mm", "1500 mm"),
        plates,
        ("--plate", "own"),
    ),
    Setup(
        "engraving",
        stock('roles = ["tag"]\nengraved = true\nthickness = "1/16 in"', "sheet", "24 in", "24 in"),
        engraved,
        ("--tag", "own"),
    ),
    Setup("clear", stock('base = "clear"'), clear),
    Setup("second surface", stock('base = "clear"\nsurface = "second"'), second_surface),
    Setup(
        "dark",
        stock('base = "dark"') + '[printer]\nstep_inks = { White = "white under" }\n',
        dark,
    ),
    Setup("choke", stock('base = "dark"') + '[printer]\nwhite_choke = "0.3 mm"\n', choked),
    Setup("colored", stock('base = "colored"\ncolor = "safety orange"'), colored),
    Setup(
        "bridges",
        stock() + '[printer]\nbridge = "1 mm"\nbridge_spacing = "200 mm"\n',
        bridges,
    ),
    Setup("merged", stock('gap = "0 mm"') + "[printer]\nmerge_edges = true\n", merged),
    Setup("frame", stock() + '[printer]\nweeding_frame = "2.5 mm"\n', frame),
    Setup("inches", stock() + '[printer]\ncut_units = "in"\n', inches),
    Setup(
        "names",
        stock()
        + '[printer]\nstep_inks = { PartialCutting = "HalfCut", Cutting = "FullCut" }\n'
        + 'step_layers = { PartialCutting = "KISS", Cutting = "THROUGH" }\n',
        names,
    ),
    Setup(
        "one name for two steps",
        '[printer]\nstep_inks = { Drilling = "FullCut", Cutting = "FullCut" }\n'
        'step_layers = { Drilling = "CUT", Cutting = "CUT" }\n',
        one_name,
        (),
    ),
    Setup(
        "two machines",
        '[[machines]]\nkey = "k"\nrole = "film cutter"\nstep_inks = { Cutting = "Knife" }\n'
        '[[machines]]\nkey = "r"\nrole = "router"\nstep_inks = { Cutting = "Mill" }\n'
        'bridge = "2 mm"\ncut_units = "in"\nfiles = ["pdf", "dxf"]\n',
        two_machines,
        (),
    ),
    Setup(
        "a stock's own machine",
        '[[machines]]\nkey = "one"\nrole = "film cutter"\nstep_inks = { Cutting = "First" }\n'
        '[[machines]]\nkey = "two"\nrole = "film cutter"\nstep_inks = { Cutting = "Second" }\n'
        'margin = "20 mm"\n' + stock('machine = "two"'),
        stock_machine,
    ),
    Setup(
        "holes of tags",
        '[tags]\nhole = "6 mm"\nhole_edge = "4 mm"\nhole_at = "corners"\n',
        holes,
        (),
    ),
    Setup(
        "slots and rivets of plates",
        '[plates]\nslot_length = "20 mm"\nslot_width = "6 mm"\nhole_edge = "8 mm"\n'
        'rivet = "4 mm"\n',
        slots,
        (),
    ),
    Setup("screw holes of plates", '[plates]\nscrew_hole = "8.5 mm"\n', screws, ()),
    Setup("no marks", stock() + '[printer]\nmarks = "none"\n', no_marks),
    Setup("many marks", stock() + '[printer]\nmark_spacing = "300 mm"\n', many_marks),
    Setup(
        "larger marks",
        stock() + '[printer]\nmarks = "square"\nmark_size = "6 mm"\nquiet_zone = "3 mm"\n',
        big_marks,
    ),
    Setup(
        "notes as text",
        stock() + '[printer]\nnotes = "text"\nknives = { Cutting = { tool = "60 degree blade", '
        'speed = "300 mm/s", pressure = "110 g", passes = 2 } }\n',
        text_notes,
    ),
    Setup("codes", stock() + "[printer]\nsheet_codes = true\n", coded),
    Setup("no notes", stock() + '[printer]\nnotes = "none"\n', no_notes),
    Setup(
        "file names",
        stock() + '[printer]\nprint_names = "{job}-{group}-x{copies}"\n'
        'cut_names = "{job}_{group}_{sheet}_x{copies}"\n',
        named_files,
    ),
    Setup(
        "titles and slug",
        stock(width="54 in")
        + '[printer]\ntitles = "{job}: {group}, {copies} to print"\n'
        + 'slug = "Job {job} sheet {sheet} of {sheets} | for {areas}"\n',
        titled,
    ),
    Setup("files", '[[machines]]\nkey = "r"\nrole = "router"\nfiles = ["dxf"]\n', dxf_only, ()),
    Setup(
        "process",
        stock() + f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\nspots = "process"\n'
        'condition = "shop press 1"\n',
        process,
    ),
    Setup(
        "registered condition",
        stock() + f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\ncondition = "FOGRA39"\n',
        registered,
    ),
    Setup(
        "keep-outs",
        stock(
            'keep_outs = [{ x = 0, y = 0, width = "100 mm", height = "100 mm" }]',
            "sheet",
            "700 mm",
            "2200 mm",
        ),
        keep_outs,
    ),
    Setup("border", stock('border = "5 mm"'), wide_border),
    Setup("straight knife", stock('knife = "straight"'), straight),
    Setup("nothing turned", stock('turning = "none"', width="72 in"), not_turned),
    Setup(
        "film by its build",
        stock('material = "vinyl film"\nadhesive = "general acrylic adhesive"')
        + stock('material = "polyester film"\nlaminate = "UV overlaminate"')
        .replace('"own"', '"outdoor"')
        .replace("own stock", "outdoor roll"),
        by_build,
    ),
    Setup(
        "thickness",
        stock('roles = ["plate"]\nthickness = "0.080 in"', "sheet", "48 in", "96 in"),
        thick,
        ("--plate", "own"),
    ),
    Setup(
        "thickness of tags",
        stock('roles = ["tag"]\nthickness = "1/16 in"', "sheet", "24 in", "24 in"),
        thick_tags,
        ("--tag", "own"),
    ),
    Setup(
        "cheapest of a group",
        stock('group = "rolls"\ncost = 1.0')
        + stock('group = "rolls"\ncost = 9.0', width="54 in").replace('"own"', '"wide"'),
        cheapest,
        ("--film", "rolls"),
    ),
    Setup(
        "two presses",
        '[[machines]]\nkey = "one"\nrole = "press"\ntitles = "first: {group}"\n'
        '[[machines]]\nkey = "two"\nrole = "press"\ntitles = "second: {group}"\n'
        + stock('press = "two"'),
        by_press,
    ),
    Setup("source", stock('source = "data sheet of 2026"'), sourced),
    Setup(
        "offcut",
        '[[offcuts]]\nof = "plate-48x96in"\nmaterial = "aluminum plate"\nwidth = "600 mm"\n'
        'length = "1600 mm"\n',
        offcut_first,
        (),
    ),
    Setup(
        "relative colors",
        stock() + f'[printer]\nprofile = "{PROFILES}/default_cmyk.icc"\nspots = "process"\n'
        "absolute = false\n",
        relative,
    ),
    Setup(
        "two faces",
        '[tags]\nbacks = "tumble"\n',
        two_faces,
        (),
        tuple({**row, "side": "both"} if row is VALVE else row for row in ROWS),
    ),
    Setup(
        "material",
        stock('material = "vinyl film"')
        + stock('material = "polyester film"', width="24 in")
        .replace('"own"', '"pet"')
        .replace("own stock", "narrow polyester roll"),
        material,
    ),
]
TABLES = (
    *(StockTable, ZoneTable, OffcutTable, PrinterTable, MachineTable, KnifeTable),
    *(TagsTable, PlatesTable),
)


@pytest.mark.parametrize("table", TABLES)
def test_every_key_of_the_shop_file_is_in_a_set_up(table: type[BaseModel]) -> None:
    written = "\n".join(setup.shop for setup in SETUPS)
    missing = [key for key in table.model_fields if not re.search(rf"\b{key} = ", written)]
    assert missing == []


def test_the_walk_goes_through_every_table_of_the_shop_file() -> None:
    schema = ShopTables.model_json_schema()["$defs"]
    objects = {name for name, each in schema.items() if each["type"] == "object"}
    assert objects == {table.__name__ for table in TABLES}


@pytest.mark.parametrize("setup", SETUPS, ids=lambda setup: setup.name)
def test_a_shop_gets_what_its_file_says(setup: Setup, tmp_path: Path) -> None:
    setup.check(make(tmp_path, setup.shop, *setup.arguments, rows=setup.rows))


def test_every_engraved_sheet_has_a_cut_file_with_its_own_words(tmp_path: Path) -> None:
    # Tags of one size lie alike on every sheet, and each sheet has other words to engrave.
    rows = [{**VALVE, "tag": f"HV-{number}"} for number in range(101, 141)]
    listed = write_list(tmp_path / "list.csv", rows)
    shop = tmp_path / "shop.toml"
    shop.write_text(stock('roles = ["tag"]\nengraved = true', "sheet", "12 in", "12 in"))
    done = run("order", listed, "-o", tmp_path / "job", "--shop", shop, "--tag", "own")
    assert done.exit_code == 0, done.output
    made = Made(tmp_path / "job", done.output)
    files = [
        made.dxf(f"tag-1-{number}") for number in range(1, len(page_sizes(made.pdf("tag-1"))) + 1)
    ]
    assert len(files) > 1
    assert len(files) == sum(name.endswith(".dxf") for name in made.names("cut"))
    assert sum(file.layers["Cutting"] for file in files) == 40
    # HPL and KING VALVE on each, and HV-101 to HV-140: figures with counters are 0, 4, 6, 8, 9.
    figures = "".join(str(number) for number in range(101, 141))
    rings = sum({"0": 1, "4": 1, "6": 1, "8": 2, "9": 1}.get(figure, 0) for figure in figures)
    signs = len("HPL") + len("HV-101") + len("KINGVALVE") + len("PA")
    assert sum(file.layers["Debossing"] for file in files) == 40 * signs + rings


def test_the_names_are_in_the_file_of_a_single_marker_too(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(
        '[printer]\nstep_inks = { PartialCutting = "HalfCut", Cutting = "FullCut" }\n'
        'step_layers = { PartialCutting = "CUT", Cutting = "CUT" }\n'
    )
    for suffix in ("pdf", "dxf", "svg"):
        done = run(*MARKER, "-o", tmp_path / f"m.{suffix}", "--shop", shop)
        assert done.exit_code == 0, done.output
    assert {"HalfCut", "FullCut"} <= separations((tmp_path / "m.pdf").read_bytes())
    assert cut_file(tmp_path / "m.dxf").layers["CUT"] == 2
    assert "CUT" in dict(svg_layers(tmp_path / "m.svg"))


REFUSED = [
    ('[printer]\nstep_inks = { Cutting = "All" }\n', "printer, step_inks, Cutting", "'All'"),
    ('[printer]\nstep_inks = { Cutting = "none" }\n', "printer, step_inks, Cutting", "'none'"),
    ('[printer]\nstep_inks = { Cutting = "Magenta" }\n', "printer, step_inks, Cutting", "prints"),
    (
        '[printer]\nstep_inks = { Cutting = "Safety Orange" }\n',
        "printer, step_inks, Cutting",
        "printed",
    ),
    (
        '[printer]\nstep_inks = { Cutting = "Legend" }\n',
        "printer, step_inks, Cutting",
        "share the ink",
    ),
    (
        '[printer]\nstep_inks = { White = "Cutting" }\n',
        "printer, step_inks, White",
        "share the ink",
    ),
    ('[printer]\nstep_layers = { Cutting = "a/b" }\n', "printer, step_layers, Cutting", "DXF"),
    ('[printer]\nmark_size = "30 mm"\n', "printer, mark_size", "margin"),
    ('[printer]\nweeding_frame = "20 mm"\n', "printer, weeding_frame", "smaller"),
    ('[printer]\nweeding_frame = "10 mm"\n', "printer, weeding_frame", "smaller"),
    ('[printer]\nmarks = "star"\n', "printer, marks", "disc, square, cross"),
    ('[printer]\ninks = "x"\n', "printer, inks", "no key 'inks'"),
    ('[[stocks]]\nname = "x"\n', "stocks 1, name", "no key 'name'"),
    ('[stocks.roll]\nwidth = "64 in"\n', "stocks", "[[stocks]]"),
    ('[printer]\nslug = "{when}"\n', "printer, slug", "{group}"),
    ('[printer]\ntitles = "{group"\n', "printer, titles", "is not a pattern"),
    (stock('longest_frame = "30 ft"'), "stocks 1 (own)", "5080 mm"),
    (stock('surface = "second"'), "stocks 1 (own)", "clear"),
    (stock('machine = "mill"'), "stock own, machine", "'mill'"),
    ('[tags]\nhole = "40 mm"\n', "tags, hole", "at most 30"),
    ('[plates]\nslot_length = "5 mm"\nslot_width = "6 mm"\n', "plates", "longer than wide"),
    ('[printer]\nprint_names = "{name}"\n', "printer, print_names", "{group}"),
]


@pytest.mark.parametrize(("shop", "field", "words"), REFUSED, ids=lambda value: str(value)[:40])
def test_what_cannot_be_done_names_file_key_and_remedy(
    shop: str, field: str, words: str, tmp_path: Path
) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(shop)
    listed = write_list(tmp_path / "list.csv", ROWS)
    film = ("--film", "own") if "own" in shop else ()
    done = run("order", listed, "-o", tmp_path / "job", "--shop", file, *film)
    assert done.exit_code == 2
    assert f"shop.toml, {field}" in done.output
    assert words in done.output
    assert ";" in done.output  # the remedy follows
    for leaked in ("Traceback", "Input should", "pydantic", "Extra inputs"):
        assert leaked not in done.output
    assert not (tmp_path / "job").exists()
