"""The catalogs: every language says the same things."""

import re
from pathlib import Path
from string import Formatter

import pytest

from layouts.terms.words import Kind
from render.web import language
from render.web.language import DEFAULT, LANGUAGES, catalog
from render.web.marker_fields import fields_of
from render.web.settings import WebSettings
from render.web.shop_form import PRINTER_KEYS, STOCK_KEYS
from tests.helpers.page import browse

HOME = Path(language.__file__).parent
_USED = re.compile(r"""\bt\(\s*["']([a-z]+\.[\w-]+)["']""")


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("other", sorted(set(LANGUAGES) - {DEFAULT}))
def test_languages_have_the_same_keys_and_places(other: str) -> None:
    own, theirs = catalog(DEFAULT), catalog(other)
    assert own.keys() == theirs.keys()
    assert {key for key in own if places(own[key]) != places(theirs[key])} == set()
    assert all(text.strip() for text in theirs.values())


def test_every_message_that_a_template_names_exists() -> None:
    sources = [*HOME.glob("templates/**/*.html"), *HOME.glob("**/*.py")]
    used = {key for path in sources for key in _USED.findall(path.read_text(encoding="utf-8"))}
    assert len(used) > 5
    # A key that ends in "_" is completed where it is used.
    begun = {key for key in used if key.endswith("_")}
    assert used - begun - catalog(DEFAULT).keys() == set()
    assert all(any(key.startswith(each) for key in catalog(DEFAULT)) for each in begun)


@pytest.mark.parametrize(
    ("asked", "accepted", "found"),
    [("", "", "en"), ("", "es-MX,es;q=0.9,en;q=0.8", "es"), ("es", "en", "es"), ("xx", "", "en")],
)
def test_the_language_is_the_one_asked_for(
    tmp_path: Path, asked: str, accepted: str, found: str
) -> None:
    client = browse(WebSettings(tmp_path))
    path = f"/?lang={asked}" if asked else "/"
    assert f'<html lang="{found}">' in client.get(path, headers={"accept-language": accepted}).text


def test_the_language_is_remembered(tmp_path: Path) -> None:
    client = browse(WebSettings(tmp_path))
    client.get("/?lang=es")
    assert '<html lang="es">' in client.get("/").text


def test_every_choice_of_a_form_has_its_word() -> None:
    shop = [
        f"key.{name}"
        for key in (*PRINTER_KEYS, *STOCK_KEYS)
        for name in (key.name, *(f"{key.name}-{choice}" for choice in key.choices))
    ]
    fields = [field for kind in Kind for field in fields_of(kind)]
    marker = [f"field.{field.name}" for field in fields]
    chips = [
        f"{field.name}.{choice or 'unknown'}"
        for field in fields
        if field.control == "chips" and field.spoken
        for choice in field.choices
    ]
    assert len(chips) > 20
    assert set(shop + marker + chips) - catalog(DEFAULT).keys() == set()
