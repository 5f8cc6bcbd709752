"""DEXPI, the process industry's open exchange of P&IDs, read for names only.

Two forms (see dexpi.org): Proteus XML, as DEXPI 1.3 uses it, has an element for each kind of thing
and its values as ``GenericAttribute``; DEXPI 2.0 has one ``Object`` element with a ``type`` and its
values as ``Data``. Read are tags of equipment and piping components, and of piping network systems
and segments the line number, fluid code, nominal diameter and piping class.

The parser is defusedxml's: document types, entities and references to other files are refused, so
nothing is fetched and nothing unfolds. The tree is never held; depth and count are limited.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import iterparse

from layouts.crosscheck.drawn import DrawnSheet, DrawnThing
from layouts.terms.words import Kind
from render.drawings.unreadable import DrawingError

_MOST_ELEMENTS = 5_000_000
_DEEPEST = 200
_END = "AssignmentClass"  # DEXPI 1.3 names an attribute with this behind its name
_SYSTEM, _SEGMENT = "PipingNetworkSystem", "PipingNetworkSegment"
_LINE_VALUES = ("LineNumber", "FluidCode", "PipingClassCode")
_SIZES = ("NominalDiameterRepresentation", "NominalDiameterNumericalValueRepresentation")
_TYPE = "NominalDiameterTypeRepresentation"
_TAGS = ("TagName", "PipingComponentName", "PipingComponentNumber")
# Elements of Proteus XML that are things; DEXPI 2.0 says it in the type's package.
_PROTEUS = {"Equipment": Kind.EQUIPMENT, "PipingComponent": Kind.VALVE}
_PACKAGES = {"Plant/ProcessEquipment": Kind.EQUIPMENT, "Plant/Piping": Kind.VALVE}
_NOT_TAGGED = frozenset({"Nozzle", "PipingNode", "Pipe", "Chamber"})


@dataclass(slots=True)
class _Open:
    """An element being read: its kind, its values, and the property it belongs to."""

    name: str
    kind: Kind | None = None
    values: dict[str, str] = field(default_factory=dict)
    property: str = ""


def dexpi_sheet(path: Path) -> DrawnSheet:
    """The things that a DEXPI file names.

    Raises:
        DrawingError: it is not DEXPI, is broken, or has what a plain file never has.
    """
    reader = _Reader()
    try:
        for event, element in iterparse(path, events=("start", "end"), forbid_dtd=True):
            if event == "start":
                reader.start(element)
            else:
                reader.end(element)
                element.clear()
    except DefusedXmlException as error:
        what = "has a document type or entities, which a DEXPI file never has"
        raise DrawingError(what) from error
    except DrawingError:
        raise
    except (ParseError, ValueError, LookupError) as error:
        raise DrawingError(f"is not well-formed XML ({error})") from error
    return DrawnSheet(path.name, reader.name, reader.revision, things=tuple(reader.things))


class _Reader:
    """The things of a file, gathered while its elements go by."""

    def __init__(self) -> None:
        self.things: list[DrawnThing] = []
        self.name = self.revision = ""
        self._path: list[_Open] = []
        self._count = 0

    def start(self, element: Element) -> None:
        """An element begins: its attributes are known, its content is not."""
        name = element.tag.rpartition("}")[2]
        self._count += 1
        if self._count > _MOST_ELEMENTS or len(self._path) >= _DEEPEST:
            raise DrawingError("is deeper or longer than any drawing")
        if not self._path and name not in ("PlantModel", "Model"):
            raise DrawingError(f"is XML of another kind: its first element is {name}")
        self._path.append(_Open(name, *self._opened(name, element)))

    def _opened(self, name: str, element: Element) -> tuple[Kind | None, dict[str, str], str]:
        if name == "Object":
            package, _, short = element.get("type", "").rpartition(".")
            kind = Kind.PIPE if short in (_SYSTEM, _SEGMENT) else _PACKAGES.get(package)
            return (None if short in _NOT_TAGGED else kind), {"": short}, ""
        if name in (_SYSTEM, _SEGMENT):
            return Kind.PIPE, {"": name, **_own(element)}, ""
        if name in _PROTEUS and element.get("ComponentClass", "") not in _NOT_TAGGED:
            return _PROTEUS[name], {"": name, **_own(element)}, ""
        if name == "Drawing":
            self.name = self.name or element.get("Name", "")
            self.revision = self.revision or element.get("Revision", "")
        if name == "GenericAttribute":
            self._attribute(element.get("Name", ""), element.get("Value", ""))
        return None, {}, element.get("property", "")

    def end(self, element: Element) -> None:
        """An element ends: a value goes to the thing that it is of, a thing is kept."""
        opened = self._path.pop()
        if opened.name in ("String", "Integer", "Double") and self._path:
            self._value((element.text or "").strip())
        if opened.kind is not None:
            self._keep(opened)

    def _value(self, text: str) -> None:
        """A value of DEXPI 2.0, in ``Data`` or in the ``Value`` of an aggregate below it."""
        names = [each.property for each in self._path[::-1] if each.name == "Data"]
        above = next((each for each in self._path[::-1] if each.name == "Object"), None)
        if not names or above is None or not text:
            return
        drawn = above.values.get("") in ("MetaData", "PlantMetaData", "Diagram")
        if drawn and names[-1] in ("DrawingNumber", "Name"):
            self.name = self.name or text
        elif drawn and names[-1] in ("Revision", "DrawingRevision", "RevisionNumber"):
            self.revision = self.revision or text
        depth = 1 if names[0] != "Value" or len(names) == 1 else 2
        above.values.setdefault(names[depth - 1], text)

    def _attribute(self, name: str, value: str) -> None:
        """A value of Proteus XML, for the nearest thing around it."""
        plain = name.removesuffix(_END)
        if plain == "DrawingNumber":
            self.name = self.name or value
        elif plain in ("DrawingRevision", "RevisionNumber"):
            self.revision = self.revision or value
        for opened in reversed(self._path):
            if opened.values.get("") and value.strip():
                opened.values.setdefault(plain, value.strip())
                return
            if opened.name not in ("GenericAttributes", "GenericAttribute"):
                return

    def _keep(self, opened: _Open) -> None:
        if opened.kind is Kind.PIPE:
            self._keep_line(opened)
            return
        name = next((opened.values[tag] for tag in _TAGS if opened.values.get(tag)), "")
        if name and opened.kind is not None:
            self.things.append(DrawnThing(opened.kind, name))

    def _keep_line(self, opened: _Open) -> None:
        """A segment's own values come first, then those of its system."""
        above = next((each for each in self._path[::-1] if each.values.get("") == _SYSTEM), None)
        values = {**(above.values if above is not None else {}), **opened.values}
        number, service, piping_class = (values.get(key, "") for key in _LINE_VALUES)
        size = next((values[key] for key in _SIZES if values.get(key)), "")
        if size and values.get(_TYPE) and not size.upper().startswith(values[_TYPE].upper()):
            size = f"{values[_TYPE]} {size}"
        if number:
            self.things.append(DrawnThing(Kind.PIPE, number, size, service, piping_class))


def _own(element: Element) -> dict[str, str]:
    """The tag that an element of Proteus XML has as its own attribute."""
    tag = element.get("TagName", "").strip()
    return {"TagName": tag} if tag else {}
