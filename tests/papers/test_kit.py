"""The page kit: tables over several pages, blocks that stay together."""

from __future__ import annotations

from collections import Counter

from layouts.drawing import Point, Rect
from layouts.drawing.document import Item, Page, Placement, Shape
from layouts.drawing.inks import Ink, InkRole, Lab
from layouts.papers.kit.paper import LETTER, Drawn, Paper, Running, rule, voices_of
from layouts.papers.kit.table import Column
from layouts.terms.counts import counted
from render.read.fonts import default_typefaces

INK = Ink("black", Lab(15.33, 0, 0), InkRole.BLACK)


def paper() -> Paper:
    return Paper(Running("Kind", "about", "foot"), voices_of(default_typefaces()), INK)


def test_a_long_table_has_every_row_once_and_its_titles_on_each_page() -> None:
    sheet = paper()
    boxes: list[tuple[int, Rect]] = []

    def note(index: int, box: Rect) -> tuple[Item, ...]:
        boxes.append((index, box))
        return ()

    rows = [(f"row {number}", "text " * (1 + number % 30)) for number in range(150)]
    sheet.table((Column("Q", 30.0), Column("Second", 100.0)), rows, note)
    assert [index for index, _ in boxes] == list(range(150))
    pages = sheet.finish("p", "paper")
    assert len(pages) > 2
    for _, box in boxes:
        assert box.y >= 15
        assert box.bottom <= LETTER.height - 17 + 1e-9
    titles: Counter[int] = Counter()
    for number, page in enumerate(pages):
        for item in page.layers[0].items:
            if isinstance(item, Placement) and item.symbol.endswith("-Q"):
                titles[number] += 1
    assert titles == dict.fromkeys(range(len(pages)), 1)


def test_what_is_beside_a_row_or_at_the_foot_comes_in_the_order_of_reading() -> None:
    sheet = paper()
    plain = sheet.voices.plain
    sheet.pin(lambda at: Drawn(plain.line("Foot", at, 2.0, INK), 5.0))

    def flag(index: int, box: Rect) -> tuple[Item, ...]:
        return plain.line(f"Flag{index}", Point(box.x, box.y), 2.0, INK)

    sheet.table((Column("Title", 60.0),), [("First",), ("Second",)], flag)
    (page,) = sheet.finish("p", "paper")
    said = [each.symbol for each in page.layers[0].items if isinstance(each, Placement)]
    words = [each.rsplit("-", 1)[1] for each in said]
    assert words[:6] == ["Title", "First", "Flag0", "Second", "Flag1", "Foot"]


def test_a_block_that_does_not_fit_goes_to_the_next_page_whole() -> None:
    sheet = paper()

    def block(at: Point) -> Drawn:
        return Drawn((rule(at.x, at.y, 10, 0.1, INK), rule(at.x, at.y + 99, 10, 0.1, INK)), 100)

    for _ in range(5):
        sheet.block(block)
    counts = [
        len([item for item in _shapes(page) if item.path.bounds().width == 10])
        for page in sheet.finish("p", "paper")
    ]
    assert counts == [4, 4, 2]


def test_a_pinned_block_stands_at_the_foot_of_its_page() -> None:
    sheet = paper()
    room = sheet.room
    sheet.pin(lambda at: Drawn((rule(at.x, at.y, 10, 0.1, INK),), 40.0))
    assert room - 45 < sheet.room < room - 40


def test_a_row_higher_than_a_page_does_not_loop() -> None:
    sheet = paper()
    sheet.table((Column("A", 20.0),), [("word " * 900,), ("next",)])
    assert 2 <= len(sheet.finish("p", "paper")) <= 3


def test_a_long_running_line_is_shortened_and_stays_on_the_page() -> None:
    long = "Relabeling of a very large plant " * 8
    sheet = Paper(Running("Kind", long, long), voices_of(default_typefaces()), INK)
    sheet.turn()
    symbols = sheet.voices.symbols
    for page in sheet.finish("p", "paper"):
        for item in page.layers[0].items:
            if isinstance(item, Placement):
                box = item.at.rect(symbols()[item.symbol].bounds)
                assert box.x >= 14 - 0.5
                assert box.right <= LETTER.width - 14 + 0.5


def test_counting() -> None:
    assert [counted(each, "sheet") for each in (0, 1, 2)] == ["0 sheets", "1 sheet", "2 sheets"]


def _shapes(page: Page) -> list[Shape]:
    return [item for item in page.layers[0].items if not isinstance(item, Placement)]
