"""A press's requirements for a PDF: profile, names of the step inks, process values of inks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from types import MappingProxyType

from layouts.drawing.document import Step
from layouts.drawing.ink_report import Intent
from layouts.drawing.inks import Ink
from layouts.sheets.stock import Printer, Spots
from layouts.terms.values import frozen
from render.color.profile import Cmyk, OutputProfile


@frozen
class Press:
    """How a document is written for one machine.

    ``profile``: with one the file is PDF/X-4, without one it claims no standard.
    ``step_inks``: the ink names that the machine expects for a step; the default is the step's
    ISO 19593-1 name. Two steps may share one.
    ``process``: inks (by name) that are printed as the profile's CMYK instead of as spots; needs a
    CMYK profile. The caller computes the values from the profile.
    """

    profile: OutputProfile | None = None
    step_inks: Mapping[Step, str] = field(default_factory=lambda: MappingProxyType({}))
    process: Mapping[str, Cmyk] = field(default_factory=lambda: MappingProxyType({}))

    def step_ink(self, step: Step) -> str:
        """The plate's name of a step."""
        return self.step_inks.get(step, step.title)


def press_of(printer: Printer, profile: OutputProfile | None, inks: Iterable[Ink]) -> Press:
    """How PDF is written for the shop's printer.

    With its profile the file is PDF/X-4, without one it claims no standard; spots become process
    inks if the printer file says so.

    Raises:
        InputError: the profile cannot be used.
    """
    names = dict(printer.step_inks)
    if profile is None or printer.spots is Spots.SPOT:
        return Press(profile, names)
    from render.color.gamut import process_values

    return Press(profile, names, process_values(inks, profile, intent_of(printer)))


def intent_of(printer: Printer) -> Intent:
    """The printer file's setting for how colors relate to the film's white."""
    return Intent.ABSOLUTE if printer.absolute else Intent.RELATIVE
