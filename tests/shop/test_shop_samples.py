"""The files to start from: valid, complete, and named as the program reads them back."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from pydantic import BaseModel

from layouts.papers.materials.model import Material
from layouts.schemes.loader import scheme_from_toml
from render.shop.prices import load_prices
from render.shop.shop_tables import MachineTable, OffcutTable, PrinterTable, ShopTables, StockTable
from render.shop.shopfile import load_shop
from tests.helpers.command import run
from tests.helpers.shop_jobs import painted, separations

SAMPLES = Path("output_samples")


def template(tmp_path: Path, name: str) -> Path:
    done = run("template", tmp_path / name)
    assert done.exit_code == 0, done.output
    return tmp_path / name


@pytest.mark.parametrize("name", ["shop", "prices", "scheme"])
def test_the_samples_are_what_the_command_writes(name: str, tmp_path: Path) -> None:
    written = template(tmp_path, f"{name}.toml").read_bytes()
    assert written == (SAMPLES / f"{name}_example.toml").read_bytes()


@pytest.mark.parametrize("table", [StockTable, PrinterTable, MachineTable, OffcutTable])
def test_the_shop_template_has_every_key(table: type[BaseModel], tmp_path: Path) -> None:
    text = template(tmp_path, "shop.toml").read_text()
    for key in table.model_fields:
        assert re.search(rf"^(# )?{key} = ", text, re.MULTILINE), key


def test_each_key_behind_a_number_sign_can_be_used(tmp_path: Path) -> None:
    # The profile is a file that the template cannot bring along, and clamps, colors and groups
    # ask for more than one key; all others hold as they are written.
    path = template(tmp_path, "shop.toml")
    text = path.read_text()
    alone = re.findall(r"^# (\w+) = (?!\[\{)", text.split("# [[offcuts]]")[0], re.MULTILINE)
    assert len(alone) > 40
    for key in set(alone) - {"condition"}:
        path.write_text(re.sub(rf"^# ({key} = )", r"\1", text, flags=re.MULTILINE))
        load_shop(path)


def test_the_templates_are_read(tmp_path: Path) -> None:
    shop = load_shop(template(tmp_path, "shop.toml"))
    assert shop.stocks["vinyl-54in"].roll_length == pytest.approx(50 * 914.4)  # 50 yd
    assert shop.stocks["vinyl-54in"].printer.title == "Film cutter"
    prices = load_prices(template(tmp_path, "prices.toml"))
    assert {each.material for each in prices.prices} == set(Material)
    scheme = scheme_from_toml(template(tmp_path, "scheme.toml").read_text(), "scheme.toml")
    assert "XYZ" in scheme.services


@pytest.mark.slow
def test_three_changed_lines_make_the_demo(tmp_path: Path) -> None:
    path = template(tmp_path, "shop.toml")
    changed = (
        path.read_text()
        .replace('title = "Our print and cut line"', 'title = "Ridge Road shop"')
        .replace('width = "54 in"', 'width = "60 in"')
        .replace(
            'title = "Film cutter"', 'step_inks = { PartialCutting = "Kiss", Cutting = "Die" }'
        )
    )
    path.write_text(changed)
    demo, job = SAMPLES / "demo_plant.xlsx", tmp_path / "job"
    done = run("order", demo, "-o", job, "--shop", path, "--film", "vinyl-54in")
    assert done.exit_code == 0, done.output
    for film in (job / "print").glob("film-*.pdf"):
        assert {"Kiss", "Die"} <= separations(film.read_bytes())
        assert painted(film.read_bytes())["Cutting"].inks == {"Die"}


def test_stocks_as_json_read_back_as_a_shops_file(tmp_path: Path) -> None:
    path = template(tmp_path, "shop.toml")
    told = json.loads(run("stocks", "--shop", path, "--json").stdout)
    tables = ShopTables.model_validate(told)
    own = ShopTables.model_validate(tomllib.loads(path.read_text()))
    assert [each for each in tables.stocks if each in own.stocks] == list(own.stocks)
    assert tables.printer == own.printer
    assert tables.machines == own.machines


def test_stocks_tell_every_key_and_the_printer(tmp_path: Path) -> None:
    path = template(tmp_path, "shop.toml")
    text = run("stocks", "--shop", path).output
    for key in (*StockTable.model_fields, *PrinterTable.model_fields):
        if key not in ("key", "title", "longest_frame", "margin", "sheets", "cost"):
            assert f"  {key} = " in text, key
    assert "printer: Our print and cut line" in text
    assert "machine cutter: Film cutter, film cutter" in text


@pytest.mark.parametrize("kind", ["order", "shop", "prices", "scheme"])
def test_each_kind_of_file_has_a_schema(kind: str, tmp_path: Path) -> None:
    schema = json.loads(run("schema", kind).output)
    assert schema["$schema"].startswith("https://json-schema.org/")
    if kind == "order":
        return
    values = tomllib.loads(template(tmp_path, f"{kind}.toml").read_text())
    for key in values:
        assert key in schema["properties"] or key == "extends"
