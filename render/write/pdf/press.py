"""What a press wants of a PDF: profile, names of the step inks, process values of inks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from layouts.drawing.document import Step
from render.color.profile import Cmyk, OutputProfile


@dataclass(frozen=True, slots=True)
class Press:
    """How a document is written for one machine.

    ``profile``: with one the file is PDF/X-4, without one it makes no claim.
    ``step_inks``: the ink names that the machine takes for a step; the default is the step's
    ISO 19593-1 name.
    ``process``: inks (by name) that are printed as the profile's CMYK and not as spots; needs
    a CMYK profile. The values are computed by whoever knows the profile's colors.
    """

    profile: OutputProfile | None = None
    step_inks: Mapping[Step, str] = field(default_factory=lambda: MappingProxyType({}))
    process: Mapping[str, Cmyk] = field(default_factory=lambda: MappingProxyType({}))

    def step_ink(self, step: Step) -> str:
        """The plate's name of a step."""
        return self.step_inks.get(step, step.title)
