"""The error tree.

PipelegendError
 +-- InputError      the input cannot be read or asks for something impossible; carries
 |                   every finding (exit code 2)
 +-- BlockedError    a readable marker that must not be printed as it is (exit code 1)
 +-- OutputError     the result cannot be written, or failed its own inspection (exit code 2)
"""

from __future__ import annotations

from collections.abc import Sequence

from layouts.terms.findings import Finding, Severity


class PipelegendError(Exception):
    """Base of every error that this program raises on purpose."""


class InputError(PipelegendError):
    """The input cannot be read, or asks for something impossible.

    It carries all findings of the input, not only the first.
    """

    def __init__(self, findings: Sequence[Finding]) -> None:
        super().__init__("; ".join(finding.sentence() for finding in findings))
        self.findings = tuple(findings)

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[Finding, ...]]]:
        return type(self), (self.findings,)


class BlockedError(PipelegendError):
    """A marker could be drawn but must not be printed as it is."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        super().__init__("; ".join(finding.sentence() for finding in findings))
        self.findings = tuple(findings)

    def __reduce__(self) -> tuple[type[BlockedError], tuple[tuple[Finding, ...]]]:
        return type(self), (self.findings,)


class OutputError(PipelegendError):
    """The result cannot be written, or failed its own inspection.

    ``code`` is as stable as a finding's.
    """

    def __init__(self, message: str, code: str = "output-failed") -> None:
        super().__init__(message)
        self.code = code


def refuse_blocked(findings: Sequence[Finding]) -> None:
    """Raise for findings that keep the order from being printed; the impossible ones win."""
    if any(finding.severity is Severity.UNREADABLE for finding in findings):
        raise InputError(findings)
    if any(finding.blocks for finding in findings):
        raise BlockedError(findings)
