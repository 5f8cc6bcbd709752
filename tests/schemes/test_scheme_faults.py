"""A plant's own scheme: what it may change, and that every fault is listed at once."""

from __future__ import annotations

import tomllib

import pytest

from layouts.schemes.loader import load_scheme, scheme_from_toml
from layouts.schemes.model import ArrowEnds, ElementKind, GapRule
from layouts.terms.errors import InputError
from layouts.terms.findings import Severity

HEAD = 'extends = "ammonia-2014"\nkey = "plant"\n'

# The least that a scheme of its own has to say.
WHOLE = """
key = "plant"
title = "Our plant"
standard = "plant standard 7"
edition = "2026"
built_from = "plant standard 7"
contents = "BRINE"
[[pairings]]
key = "brine"
meaning = "brine"
field = "safety green"
legend = "white"
contents = ["BRINE"]
source = "plant standard 7"
status = "confirmed"
[[bands]]
word = "UP"
field = "safety red"
ink = "white"
source = "plant standard 7"
status = "confirmed"
[sizes]
title = "plant sizes"
gap_rule = "none"
lower_inclusive = false
source = "plant standard 7"
[[sizes.rows]]
label = "all"
over = "0 in"
letters = "1 in"
height = "2 in"
length = "10 in"
source = "plant standard 7"
status = "confirmed"
[face]
order = ["legend"]
arrow_ends = "both"
band_letter_share = 0.6
length_step = "5 mm"
corner_share = 0
source = "plant standard 7"
[equipment]
height = "2 in"
letters = "1 in"
field = "safety green"
ink = "white"
pressure_band = false
source = "plant standard 7"
status = "confirmed"
"""


def faults(text: str) -> set[tuple[str, str]]:
    """Code and field of every fault of a scheme file."""
    with pytest.raises(InputError) as caught:
        scheme_from_toml(text, "plant.toml")
    for finding in caught.value.findings:
        assert finding.severity is Severity.UNREADABLE
        assert finding.place.file == "plant.toml"
        assert finding.what
        assert finding.right
    return {(finding.code, finding.place.field) for finding in caught.value.findings}


def test_a_plant_changes_what_it_must() -> None:
    scheme = scheme_from_toml(
        HEAD
        + """
title = "Our plant"
[sources]
ours = "plant standard 7"
[[services]]
code = "cd"
meaning = "compressor discharge"
state = "vapor"
source = "@ours"
[[services]]
code = "XYZ"
meaning = "local line"
source = "@ours"
status = "common practice"
[[services]]
code = "HG"
remove = true
[[bands]]
word = "HIGH"
ink = "white"
[face]
order = ["service", "legend", "arrow"]
arrow_ends = "leading"
length_step = "5 mm"
""",
        "plant.toml",
    )
    base = load_scheme("ammonia-2014")
    assert (scheme.key, scheme.title, scheme.extends) == ("plant", "Our plant", "ammonia-2014")
    assert scheme.edition == base.edition
    assert "HG" not in scheme.services
    assert scheme.services["XYZ"].source == "plant standard 7"
    assert scheme.services["HPL"] == base.services["HPL"]
    assert next(iter(scheme.levels.values())).ink == "white"
    assert scheme.face.arrow_ends is ArrowEnds.LEADING
    assert scheme.face.order == (ElementKind.SERVICE, ElementKind.LEGEND, ElementKind.ARROW)
    assert scheme.face.length_step == pytest.approx(5)
    assert scheme.sizes == base.sizes
    assert load_scheme("ammonia-2014") == base


def test_a_row_is_found_by_its_key_in_the_base_spelling() -> None:
    scheme = scheme_from_toml(
        HEAD + '[[services]]\ncode = "CD"\nmeaning = "compressor discharge"\n', "plant.toml"
    )
    assert scheme.services["CD"].meaning == "compressor discharge"
    assert scheme.services["CD"].source == load_scheme().services["CD"].source


def test_a_plant_names_sources_without_touching_the_base() -> None:
    # "table" is a source of the base too; its rows keep what they were known from
    scheme = scheme_from_toml(HEAD + '[sources]\ntable = "ours"\n', "plant.toml")
    assert scheme.sizes == load_scheme().sizes


def test_a_plant_chooses_the_gap_rule() -> None:
    text = 'extends = "asme-a13-1"\nkey = "plant"\n'
    text += '[sizes]\ngap_rule = "ranges read as nominal pipe sizes"\n'
    assert scheme_from_toml(text, "plant.toml").sizes.gap_rule is GapRule.NOMINAL


def test_tables_do_as_well_as_text() -> None:
    assert load_scheme({"extends": "ammonia-1991", "key": "plant"}).pairings[0].field == (
        "safety yellow"
    )


def test_every_fault_is_listed_at_once() -> None:
    found = faults(
        HEAD
        + """
colour = "red"
edition = 2014
[[bands]]
word = "LIQ"
field = "safety orange"
[[bands]]
word = "VAP"
field = "sea blue"
[[bands]]
word = "HIGH"
ink = "safety red"
[[services]]
code = "NEW"
meaning = "a new line"
state = "gas"
level = "low"
[[services]]
code = "OLD"
source = "@nowhere"
status = "certain"
meaning = ""
[[services]]
code = "OLD"
meaning = "again"
source = "plant list"
status = "confirmed"
[states]
vapor = ["GAS"]
[face]
order = ["legend", "logo"]
band_letter_share = 1.5
length_step = 6
[equipment]
letters = "4 in"
pressure_band = "no"
[sizes]
rows = [
  { label = "over 2 to 7 in", up_to = "6 in" },
  { label = "over 10 in", letters = "2 in", up_to = "40 in" },
  { label = "up to 1.25 in", height = "wide" },
]
[[paints]]
service = "relief vent"
codes = ["RV", "RX"]
[[paints]]
service = "nothing"
color = "pink"
ink = "pink"
source = "plant list"
status = "memory"
"""
    )
    assert found == {
        ("scheme-unknown-key", "colour"),
        ("scheme-type", "edition"),
        ("scheme-band-on-own-field", "bands[LIQ].field"),
        ("scheme-ink-unknown", "bands[VAP]"),
        ("scheme-ink-on-itself", "bands[HIGH]"),
        ("scheme-value", "services[NEW].state"),
        ("scheme-source-missing", "services[NEW].source"),
        ("scheme-status-unknown", "services[NEW].status"),
        ("scheme-status-unknown", "services[NEW].usual_status"),
        ("scheme-source-unknown", "services[OLD].source"),
        ("scheme-status-unknown", "services[OLD].status"),
        ("scheme-type", "services[OLD].meaning"),
        ("scheme-duplicate", "services[OLD].code"),
        ("scheme-band-unknown", "states.vapor"),
        ("scheme-value", "face.order"),
        ("scheme-value", "face.band_letter_share"),
        ("scheme-type", "face.length_step"),
        ("scheme-value", "equipment.letters"),
        ("scheme-type", "equipment.pressure_band"),
        ("scheme-size-hole", "sizes.rows"),
        ("scheme-size-shrinks", "sizes.rows"),
        ("scheme-value", "sizes.rows[up to 1.25 in].height"),
        ("scheme-code-unknown", "paints[relief vent].codes"),
        ("scheme-missing", "paints[nothing].codes"),
        ("scheme-ink-unknown", "paints[nothing]"),
    }


@pytest.mark.parametrize(
    ("text", "code", "field"),
    [
        ("key = ", "scheme-unreadable", ""),
        ('extends = "ammonia-2030"\nkey = "plant"', "scheme-base-unknown", "extends"),
        ("extends = 5", "scheme-base-unknown", "extends"),
        ('extends = "ammonia-2014"', "scheme-key-taken", "key"),
        ('extends = "ammonia-2014"\nkey = "ammonia-2014"', "scheme-key-taken", "key"),
        (HEAD + 'bands = "LIQ"', "scheme-type", "bands"),
        (HEAD + "services = [1]", "scheme-type", "services"),
        (HEAD + "face = 1", "scheme-type", "face"),
        (HEAD + "contents = 1", "scheme-type", "contents"),
        (HEAD + "[states]\nvapor = [1]", "scheme-type", "states.vapor"),
        (HEAD + '[levels]\ncutoff_psig = "70"', "scheme-type", "levels.cutoff_psig"),
        (HEAD + "[levels]\ncutoff_psig = inf", "scheme-type", "levels.cutoff_psig"),
        (HEAD + '[levels]\nhigh = "UP"', "scheme-band-unknown", "levels.high"),
        (HEAD + '[inks."safety red"]\nlab = [1, 2]', "scheme-type", "inks.safety red.lab"),
        (HEAD + '[inks."safety red"]\nrole = "glow"', "scheme-value", "inks.safety red.role"),
        (HEAD + '[sizes]\ngap_rule = "none at all"', "scheme-value", "sizes.gap_rule"),
        (HEAD + "[levels]\ncutoff_psig = nan", "scheme-type", "levels.cutoff_psig"),
        (HEAD + "[levels]\ncutoff_psig = true", "scheme-type", "levels.cutoff_psig"),
        (HEAD + '[[levels.high]]\nx = 1', "scheme-type", "levels.high"),
        (HEAD + "[sizes]\nrows = []\nextra = 1", "scheme-unknown-key", "sizes.extra"),
        (
            HEAD + '[inks."All"]\nlab = [50, 0, 0]\nsource = "here"\nstatus = "memory"',
            "scheme-value",
            "inks.All",
        ),
        (
            HEAD + '[inks."Cyan"]\nlab = [50, 0, 0]\nsource = "here"\nstatus = "memory"',
            "scheme-value",
            "inks.Cyan",
        ),
        (HEAD + '[face]\norder = ["arrow"]', "scheme-value", "face.order"),
        (HEAD + '[face]\nlength_step = "0 in"', "scheme-value", "face.length_step"),
        (HEAD + "[face]\ncorner_share = 0.7", "scheme-value", "face.corner_share"),
        (HEAD + '[[paints]]\nservice = "relief vent"\nink = "mist"', "scheme-ink-unknown",
         "paints[relief vent]"),
    ],
)  # fmt: skip
def test_single_faults(text: str, code: str, field: str) -> None:
    assert (code, field) in faults(text)


def test_overlapping_rows() -> None:
    text = HEAD + '[sizes]\nrows = [{ label = "over 2 to 7 in", over = "1.5 in" }]\n'
    assert faults(text) == {("scheme-size-overlap", "sizes.rows")}


@pytest.mark.parametrize(
    ("row", "code", "field"),
    [
        ('label = "over 10 in", up_to = "40 in"', "size-hole", "rows"),
        ('label = "up to 1.25 in", over = "0.5 in"', "size-hole", "rows"),
        ('label = "over 2 to 7 in", up_to = "6 in"', "size-hole", "rows"),
        ('label = "over 2 to 7 in", up_to = "2 in"', "size-order", "rows[over 2 to 7 in].up_to"),
        ('label = "over 10 in", letters = "5 in"', "size-letter", "rows[over 10 in].letters"),
        ('label = "over 10 in", letters = "0 in"', "size-letter", "rows[over 10 in].letters"),
        ('label = "over 10 in", letters = "2 in"', "size-shrinks", "rows"),
    ],
)
def test_size_rows(row: str, code: str, field: str) -> None:
    assert (f"scheme-{code}", f"sizes.{field}") in faults(f"{HEAD}[sizes]\nrows = [{{ {row} }}]\n")


def test_no_sizes_at_all() -> None:
    full = dict(tomllib.loads(WHOLE))
    with pytest.raises(InputError) as caught:
        load_scheme({**full, "sizes": {"title": "t", "lower_inclusive": True, "source": "s"}})
    assert {(each.code, each.place.field) for each in caught.value.findings} == {
        ("scheme-missing", "sizes.gap_rule"),
        ("scheme-missing", "sizes.rows"),
    }
    with pytest.raises(InputError, match="no cutoff"):
        load_scheme({**full, "levels": {"high": "UP"}})
    assert load_scheme(full).levels == {}


def test_a_hole_needs_a_rule() -> None:
    text = 'extends = "asme-a13-1"\nkey = "plant"\n[sizes]\ngap_rule = "none"\n'
    assert faults(text) == {("scheme-size-hole", "sizes.rows")}
    text = 'extends = "asme-a13-1"\nkey = "plant"\n[sizes]\ntag_required = false\n'
    assert faults(text) == {("scheme-size-hole", "sizes.rows")}


def test_an_empty_file_lists_what_is_missing() -> None:
    found = faults('key = "plant"\n')
    for name in ("title", "standard", "edition", "built_from", "contents", "pairings", "sizes"):
        assert ("scheme-missing", name) in found
    assert ("scheme-missing", "face.order") in found


def test_an_unknown_scheme_names_the_known_ones() -> None:
    with pytest.raises(InputError, match=r"ammonia-2014, ammonia-2018, ammonia-1991, asme-a13-1"):
        load_scheme("ammonia-2030")
