"""The texts of a DXF: TEXT, MTEXT and attributes, in blocks too; one sheet a layout."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile
from ezdxf.layouts.base import BaseLayout

from layouts.crosscheck.drawn import DrawnSheet, DrawnText
from render.drawings.title_block import number_and_revision
from render.drawings.unreadable import DrawingError

_MOST_ENTITIES = 2_000_000
_DEEPEST = 8  # blocks within blocks


def dxf_sheets(path: Path) -> Iterator[DrawnSheet]:
    """The model space and every layout that holds texts; the model space where none does.

    Raises:
        DrawingError: the file is broken, or larger than any drawing.
    """
    try:
        drawing = readfile(path)
        if len(drawing.entitydb) > _MOST_ENTITIES:
            raise DrawingError(f"has more than {_MOST_ENTITIES} entities")
        sheets = [_sheet(path.name, layout) for layout in drawing.layouts]
    except (DrawingError, MemoryError):
        raise
    except Exception as error:  # of a broken file the library raises whatever it stumbles over
        raise DrawingError(f"cannot be read as a DXF ({type(error).__name__})") from error
    told = [sheet for sheet in sheets if sheet.texts]
    yield from told or sheets[:1]


def _sheet(file: str, layout: BaseLayout) -> DrawnSheet:
    attributes: dict[str, str] = {}
    texts = tuple(_texts(layout, attributes, 0))
    number, revision = number_and_revision((each.text for each in texts), attributes)
    return DrawnSheet(file, number, revision, texts)


def _texts(
    entities: Iterable[DXFEntity], attributes: dict[str, str], depth: int
) -> Iterator[DrawnText]:
    for entity in entities:
        if isinstance(entity, MText):
            at, height = entity.dxf.insert, float(entity.dxf.get("char_height", 0.0))
            for n, line in enumerate(str(entity.plain_text()).splitlines()):
                yield from _text(line, at.x, at.y - 1.6 * n * height, height)
        elif isinstance(entity, Text):
            at = entity.dxf.insert
            yield from _text(entity.plain_text(), at.x, at.y, float(entity.dxf.height))
        elif isinstance(entity, Insert):
            for attribute in entity.attribs:
                attributes.setdefault(attribute.dxf.tag, attribute.dxf.text)
                at, height = attribute.dxf.insert, float(attribute.dxf.height)
                yield from _text(attribute.dxf.text, at.x, at.y, height)
            if depth < _DEEPEST:
                yield from _texts(entity.virtual_entities(), attributes, depth + 1)


def _text(text: str, x: float, y: float, height: float) -> Iterator[DrawnText]:
    if text.strip():
        yield DrawnText(" ".join(text.split()), x, y, height)
