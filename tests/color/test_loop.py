"""The loop closed: what a profile says will print, read back as if measured, judged."""

from pathlib import Path

import pytest

from layouts.drawing.ink_report import Intent
from layouts.papers.color_target import patches_of
from layouts.schemes.loader import load_scheme
from layouts.terms.errors import OutputError
from render.color import engine
from render.color.engine import Engine
from render.color.gamut import ink_report
from render.color.profile import OutputProfile, read_profile
from render.color.readings import parse_readings
from render.color.verdict import judge

INKS = load_scheme().inks
CONDITIONS = """MEASUREMENT_GEOMETRY "45/0"
WEIGHTING_FUNCTION "ILLUMINANT,D50"
WEIGHTING_FUNCTION "OBSERVER,2 degree"
"""


@pytest.mark.tools
def test_readings_of_a_perfect_press_give_the_report_s_differences() -> None:
    profile = read_profile(Path("/usr/share/color/icc/ghostscript/default_cmyk.icc"))
    pairs = [(INKS["safety orange"], INKS["black"])]
    report = ink_report(INKS.values(), profile, Intent.ABSOLUTE, pairs)
    patches = patches_of(INKS.values(), pairs)
    printed = {each.ink.name: each.printed for each in report.inks}
    with Engine(profile, Intent.ABSOLUTE) as press:
        (orange,) = press.devices([INKS["safety orange"].lab])
        (printed["black on safety orange"],) = press.labs([(*orange[:3], 1.0)])
    rows = [
        f'{patch.id} "{lab.lightness:.4f}" {lab.a:.4f} {lab.b:.4f}'
        for patch in patches
        for lab in [printed[patch.name]]
    ]
    text = "\n".join(
        (
            "ISO28178",
            CONDITIONS + "BEGIN_DATA_FORMAT",
            "SAMPLE_ID\tLAB_L\tLAB_A\tLAB_B",
            "END_DATA_FORMAT",
            f"NUMBER_OF_SETS {len(rows)}",
            "BEGIN_DATA",
            *rows,
            "END_DATA",
        )
    )
    verdict = judge(parse_readings(text.encode(), "press.txt"), patches, pairs)
    measured = {each.ink.name: each for each in verdict.inks}
    for each in report.inks:
        assert measured[each.ink.name].delta == pytest.approx(each.delta, abs=0.001)
    # Out of gamut on this press, and beyond its limit of chroma.
    assert measured["safety orange"].beyond == ("chroma beyond 5YR 6/13",)
    assert measured["safety yellow"].passed
    assert verdict.pairs[0].measured == pytest.approx(report.pairs[0].printed, abs=0.01)
    assert verdict.pairs[0].holds


def test_without_the_color_library_one_sentence_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "_candidates", lambda: iter(["no-such-library.so"]))
    engine._library.cache_clear()
    try:
        profile = OutputProfile(b"", 4, "none")
        with pytest.raises(OutputError, match="liblcms2 was not found; install"):
            Engine(profile, Intent.RELATIVE)
    finally:
        engine._library.cache_clear()


def test_a_library_of_the_system_serves_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where Pillow brings none, the loader's own search is asked."""
    monkeypatch.setattr(engine, "find_spec", lambda _: None)
    monkeypatch.setattr("ctypes.util.find_library", {"lcms2": "liblcms2.so.2"}.get)
    assert list(engine._candidates()) == ["liblcms2.so.2"]
