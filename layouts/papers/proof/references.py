"""Notes that several markers of a proof share, and sources."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from layouts.markers.gather import Marker
from layouts.plan import Reason

# Reasons of these topics are shared by many markers; a size or a level belongs to one.
_SHARED_TOPICS = frozenset({"build", "colors"})
_SHARED_BY = 4  # a reason that four markers share is a note


class References:
    """Numbers for notes and sources, in order of first mention."""

    def __init__(self, markers: Iterable[Marker]) -> None:
        counts = Counter(
            (reason.text, reason.source)
            for marker in markers
            for reason in dict.fromkeys(marker.plan.reasons)
            if reason.topic in _SHARED_TOPICS
        )
        self._shared = {key for key, count in counts.items() if count >= _SHARED_BY}
        self._notes: dict[tuple[str, str], int] = {}
        self._sources: dict[str, int] = {}

    def texts(self, reasons: Sequence[Reason]) -> list[str]:
        """The reasons of one marker; those that are notes as one line of numbers at the end."""
        own: list[str] = []
        numbers: list[int] = []
        for reason in reasons:
            key = (reason.text, reason.source)
            if key in self._shared:
                numbers.append(self._notes.setdefault(key, len(self._notes) + 1))
            else:
                own.append(self.text(reason))
        if numbers:
            listed = ", ".join(f"N{number}" for number in sorted(numbers))
            own.append(f"see {'notes' if len(numbers) > 1 else 'note'} {listed} at the end")
        return own

    def text(self, reason: Reason) -> str:
        """One reason without the source that it may repeat, and the source's number."""
        text = reason.text.replace(f" ({reason.source})", "") if reason.source else reason.text
        topic = "letters: " if reason.topic == "letters" and "letters" not in text else ""
        return f"{topic}{text}{self._mark(reason.source)}"

    def notes(self) -> list[tuple[str, str, str]]:
        """Every note that was mentioned: number, text, source."""
        return [
            (f"N{number}", text, source or "–") for (text, source), number in self._notes.items()
        ]

    def sources(self) -> list[tuple[str, str]]:
        """Every source that was mentioned: number and text."""
        return [(f"[{number}]", source) for source, number in self._sources.items()]

    def _mark(self, source: str) -> str:
        if not source:
            return ""
        return f" [{self._sources.setdefault(source, len(self._sources) + 1)}]"
