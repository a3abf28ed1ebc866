"""Exceptions with their problems as data."""

from __future__ import annotations

import json
from dataclasses import dataclass


@dataclass(frozen=True)
class Diagnostic:
    """One problem of a file. Line and column count from 1; 0 where there is none."""

    code: str
    severity: str
    file: str
    line: int
    column: int
    path: str
    message: str
    found: str | None
    allowed: str | None
    advice: str | None


class GivewayError(Exception):
    """Why there is no answer; `diagnostics` holds the problems of a file one by one."""

    def __init__(self, message: str, diagnostics: list[Diagnostic] | None = None) -> None:
        super().__init__(message)
        self.diagnostics: list[Diagnostic] = diagnostics or []

    def __reduce__(self):
        # An exception crosses to other processes with its problems.
        return type(self), (self.args[0], self.diagnostics)


class UsageError(GivewayError, ValueError):
    """A request that cannot be."""


class InputError(GivewayError, ValueError):
    """A scenario, study, record or fit with problems."""


class ComputeError(GivewayError, ArithmeticError):
    """What could not be computed."""


class FileError(GivewayError, OSError):
    """A file that could not be read or written."""


KINDS = {"usage": UsageError, "input": InputError, "compute": ComputeError, "io": FileError}


def diagnostics(problems: list[dict]) -> list[Diagnostic]:
    return [Diagnostic(**problem) for problem in problems]


def of(text: str) -> GivewayError:
    """The exception of a refusal, which is JSON."""
    told = json.loads(text)
    return KINDS[told["kind"]](told["message"], diagnostics(told["diagnostics"]))
