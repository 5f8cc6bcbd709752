"""What the writer refuses: documents that contradict themselves, profiles of the wrong kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from layouts.drawing import Affine, Rect, Size, rectangle
from layouts.drawing import Path as Outline
from layouts.drawing.document import Document, Fill, Item, Layer, Page, Placement, Step, Stroke
from layouts.drawing.inks import Lab
from layouts.terms.errors import InputError, OutputError
from render.color.profile import Cmyk, intent_fault, read_profile
from render.write.pdf import Press, write
from tests.helpers.pdf_samples import BLACK, KISS, ORANGE, glyphs, sheet
from tests.helpers.pdf_system import PROFILES, claiming, cmyk_profile

BOX = rectangle(Rect(10, 10, 20, 20))


def page(*items: Item, step: Step | None = None, more: tuple[Layer, ...] = ()) -> Document:
    area = Rect(0, 0, 100, 100)
    layers = (Layer("L", items, step), *more)
    return Document("d", "D", (Page("p", "P", area.size, area, area, layers),), glyphs())


def boxes(trim: Rect, bleed: Rect) -> Document:
    return Document("d", "D", (Page("p", "P", Size(100, 100), trim, bleed, ()),), {})


@pytest.mark.parametrize(
    ("document", "sentence"),
    [
        (Document("d", "D", (), {}), "no page"),
        (page(Placement("nowhere", Affine())), "symbol nowhere is placed but not in the document"),
        (page(Placement("H", Affine())), "its placement has none"),
        (page(Placement("H", Affine.scale(0), BLACK)), "no extent"),
        (page(Fill(BOX, None)), "a shape has no ink"),
        (page(Fill(Outline(()), BLACK)), "no contour"),
        (page(Fill(BOX, KISS), step=Step.KISS_CUT), "a cut contour is filled"),
        (page(Placement("H", Affine(), KISS), step=Step.HOLE), "placed among cut contours"),
        (boxes(Rect(0, 0, 90, 90), Rect(5, 5, 90, 90)), "the trim lies outside the bleed"),
        (boxes(Rect(5, 5, 90, 90), Rect(0, 0, 101, 100)), "the bleed lies outside the page"),
        (replace(page(Fill(BOX, BLACK)), date="yesterday"), "is not ISO 8601"),
        (
            page(Fill(BOX, ORANGE), Fill(BOX, replace(ORANGE, lab=Lab(50, 0, 0)))),
            "ink Safety Orange has two definitions",
        ),
    ],
)
def test_a_document_that_cannot_be_written_is_refused(document: Document, sentence: str) -> None:
    with pytest.raises(OutputError, match=sentence):
        write(document)


def test_all_faults_are_told_at_once() -> None:
    document = page(Fill(BOX, None), Placement("nowhere", Affine()))
    with pytest.raises(OutputError) as caught:
        write(document)
    assert str(caught.value).count("page p, layer L") == 2


def test_a_step_in_an_ink_that_is_printed_is_refused() -> None:
    cut = Layer("Cut", (Stroke(BOX, KISS, 0.1),), Step.KISS_CUT)
    document = page(Fill(BOX, ORANGE), more=(cut,))
    with pytest.raises(OutputError, match="which artwork is printed with"):
        write(document, Press(step_inks={Step.KISS_CUT: ORANGE.name}))


def test_two_steps_share_an_ink_only_where_the_shop_names_it() -> None:
    hole = Layer("Hole", (Stroke(BOX, None, 0.1),), Step.HOLE)
    document = page(Stroke(BOX, KISS, 0.1), step=Step.KISS_CUT, more=(hole,))
    shared = Press(step_inks={Step.KISS_CUT: "Knife", Step.HOLE: "Knife"})
    assert write(document, shared).count(b"/Separation /Knife") == 1


def test_process_values_need_a_process_profile() -> None:
    values = {ORANGE.name: Cmyk(0, 0.6, 1, 0)}
    with pytest.raises(OutputError, match="only with a CMYK printer profile"):
        write(page(Fill(BOX, ORANGE)), Press(process=values))
    gray = replace(cmyk_profile(), channels=1)
    with pytest.raises(OutputError, match="only with a CMYK printer profile"):
        write(page(Fill(BOX, ORANGE)), Press(gray, process=values))
    assert write(page(Fill(BOX, ORANGE)), replace(claiming(), process=values))


def test_a_display_profile_is_refused_by_its_class() -> None:
    path = PROFILES / "srgb.icc"
    if not path.exists():
        pytest.skip(f"{path} is not installed (package libgs-common)")
    with pytest.raises(InputError, match=r"srgb\.icc: the profile is a profile of a display"):
        read_profile(path)


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (lambda data: data[:3000], "damaged"),
        (lambda data: data + bytes(9), "damaged"),
        (lambda data: b"no profile at all", "not an ICC profile"),
        (lambda data: b"", "not an ICC profile"),
        (lambda data: data[:128] + b"\xff\xff\xff\xff" + data[132:], "damaged"),
        (lambda data: data[:136] + b"\xff\xff\xff\x00" + data[140:], "lies outside"),
        (lambda data: data[:12] + b"link" + data[16:], "a link between devices"),
        (lambda data: data[:16] + b"Lab " + data[20:], "color space Lab"),
    ],
)
def test_a_broken_profile_is_refused(
    edit: Callable[[bytes], bytes], sentence: str, tmp_path: Path
) -> None:
    path = tmp_path / "shop.icc"
    path.write_bytes(edit(cmyk_profile().data))
    with pytest.raises(InputError, match=rf"shop\.icc: the profile .*{sentence}"):
        read_profile(path)


def test_a_missing_profile_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none\.icc: the profile cannot be read"):
        read_profile(tmp_path / "none.icc")


def test_a_good_profile_names_its_condition() -> None:
    profile = cmyk_profile()
    assert (profile.channels, intent_fault(profile.data)) == (4, "")
    assert profile.condition
    named = read_profile(PROFILES / "default_cmyk.icc", condition="Shop press, matte film")
    assert named.condition == "Shop press, matte film"


def test_the_sample_sheet_is_not_refused() -> None:
    assert write(sheet(), Press(step_inks={Step.KISS_CUT: "Knife", Step.HOLE: "Drill"}))


def test_a_profile_filled_up_to_a_whole_word_is_taken(tmp_path: Path) -> None:
    """Some programs add up to four zeros; the profile's own size says where it ends."""
    path = tmp_path / "shop.icc"
    path.write_bytes(cmyk_profile().data + bytes(4))
    assert read_profile(path).channels == 4
