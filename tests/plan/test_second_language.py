"""Legends in English with a second language under them, accents included."""

from __future__ import annotations

import unicodedata

import pytest

from layouts.drawing.lettering import missing
from layouts.face import compose
from layouts.face.fit import fit_design
from layouts.order.order import PipeMarker
from layouts.plan import MarkerPlan, plan
from layouts.plan.design import Arrow
from layouts.schemes.loader import load_scheme, scheme_from_toml
from layouts.schemes.model import ElementKind, Scheme, SecondWord
from layouts.terms.errors import InputError
from layouts.terms.findings import Finding, Severity
from render.read.fonts import default_typefaces

HEAD = 'extends = "ammonia-2014"\nkey = "plant"\n[legend]\n'
OWN = """
language = "Spanish"
source = "the plant's own words"
status = "common practice"
[legend.second]
"Ammonia" = "Amoníaco"
"""


def scheme(text: str) -> Scheme:
    return scheme_from_toml(HEAD + text, "plant.toml")


def planned(made: Scheme, **fields: object) -> tuple[MarkerPlan, dict[str, Finding]]:
    base = {
        "service": "HTRS",
        "state": "both",
        "pressure": "30 psig",
        "pipe": "NPS 4",
        "covering": 0,
        "flow": "right",
        "environment": {"surface": "60 F"},
    }
    spec = PipeMarker.model_validate({**base, **fields})
    (one,), findings = plan(spec, {"plant": made}, "plant")
    return one, {finding.code: finding for finding in findings}


def test_the_second_word_stands_under_the_line_at_the_rows_letters() -> None:
    made, found = planned(scheme(OWN))
    assert found == {}
    first, second = made.design.lines
    assert [element.word for element in second] == ["AMONÍACO"]
    # ammonia dimension table, 2014 edition, second hand: letters of 1.25 in, over 2 to 7 in
    assert second[0].letter_height == pytest.approx(1.25 * 25.4)
    # states and levels keep the scheme's words
    assert [each.word for each in first if each.field is not None] == ["LIQ", "VAP", "LOW"]
    assert (first[0].arrow, first[-1].arrow) == (Arrow.RIGHT, Arrow.RIGHT)


def test_the_accent_is_drawn_and_stays_on_the_face() -> None:
    made, _ = planned(scheme(OWN))
    typefaces = default_typefaces()
    face = compose(made.design, typefaces)
    assert face.missing == ()
    assert "AMONÍACO" in face.words
    # two lines of letters of 1.25 in with half a height between them (NUREG-0700 r3)
    assert face.measures.height >= 2.5 * 1.25 * 25.4
    plain = compose(planned(load_second("AMONIACO"))[0].design, typefaces)
    tops = [
        min(shape.path.bounds().y for shape in each.parts[0].art[-1:]) for each in (face, plain)
    ]
    assert tops[0] < tops[1] - 1  # the accent reaches above the letters
    assert tops[0] > 0


def load_second(word: str) -> Scheme:
    return scheme(OWN.replace("Amoníaco", word))


def test_an_accent_apart_from_its_letter_is_one_character() -> None:
    apart = unicodedata.normalize("NFD", "AMONÍACO")
    typefaces = default_typefaces()
    one, other = (
        compose(planned(load_second(word))[0].design, typefaces).parts[0].art[-1].path
        for word in ("AMONÍACO", apart)
    )
    assert one == other


@pytest.mark.parametrize("language", ["Spanish", "French"])
def test_known_words_can_be_set_and_are_from_memory(language: str) -> None:
    second = scheme(f'language = "{language}"\n').second
    assert second is not None
    assert second.word_for("compressed  air") is not None
    for each in second.words.values():
        assert each.status == "memory"
        assert "from memory" in each.source
    # every accent that the words need is in the default lettering
    typefaces = default_typefaces()
    for each in second.words.values():
        assert missing(typefaces.dark, each.word) == missing(typefaces.light, each.word) == ()
    made, found = planned(scheme(f'language = "{language}"\n'))
    assert found == {}  # a word from memory never blocks
    (reason,) = [each for each in made.reasons if each.topic == "second language"]
    assert "from memory" in reason.text


def test_the_plants_word_goes_over_the_known_one() -> None:
    text = 'language = "French"\nsource = "ours"\nstatus = "common practice"\n'
    second = scheme(f'{text}[legend.second]\nAMMONIA = "NH3 - ammoniac"\n').second
    assert second is not None
    own, known = second.word_for("AMMONIA"), second.word_for("WATER")
    assert own == SecondWord("NH3 - AMMONIAC", "ours", "common practice")
    assert known is not None
    assert (known.word, known.status) == ("EAU", "memory")


def test_a_legend_without_a_word_says_so_and_is_drawn() -> None:
    made, found = planned(scheme(OWN), legend="Ammonia to chiller 2")
    assert found["second-word-missing"].severity is Severity.WARNING
    assert len(made.design.lines) == 1


def test_the_same_word_is_not_said_twice() -> None:
    made, found = planned(load_second("ammonia"))
    assert found == {}
    assert len(made.design.lines) == 1


def test_a_wrap_has_both_words_on_its_line() -> None:
    made, _ = planned(scheme(OWN), pipe="NPS 2", wrap=True)
    (line,) = made.design.lines
    words = [each.word for each in line if each.kind is ElementKind.LEGEND]
    assert words == ["AMMONIA", "AMONÍACO"]


def test_a_short_run_keeps_both_words() -> None:
    made, _ = planned(scheme(OWN), straight="16 in")
    short = fit_design(made, default_typefaces())
    assert [line[-1].word for line in short.design.lines] == ["", "AMONÍACO", "LOW"]
    assert any("three lines" in finding.right for finding in short.findings)


def test_faults_of_the_option() -> None:
    with pytest.raises(InputError) as caught:
        scheme('language = "German"\n')
    assert {finding.place.field for finding in caught.value.findings} == {
        "legend.second",
        "legend.source",
        "legend.status",
    }
    assert load_scheme().second is None
