"""What happens when a vehicle strikes a lighting pole on a slip base.

Every number and verdict is an engineering estimate (`giveway.caution`). Scenarios, studies and records may be given as a
path, as text of several lines, or as a dictionary of the same shape; quantities carry their unit ("30 km/h").
"""

from __future__ import annotations

import html
import json
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from . import _giveway
from ._errors import (
    ComputeError,
    Diagnostic,
    FileError,
    GivewayError,
    InputError,
    UsageError,
    diagnostics as _diagnostics,
)
from ._source import changes as _changes
from ._source import source as _source
from ._table import Folder, Table

Given = str | os.PathLike[str] | Mapping[str, Any]
Changes = Mapping[str, object] | Iterable[tuple[str, object]] | None
Base = str | os.PathLike[str] | None

__version__ = _giveway.__version__
model_version: int = _giveway.model_version
caution: str = _giveway.caution

__all__ = [
    "ComputeError", "Diagnostic", "FileError", "Fit", "Folder", "GivewayError", "InputError", "Inspection", "Plan",
    "Record", "Run", "Scenario", "Study", "Table", "UsageError", "Window", "caution", "fit", "inspect", "merge",
    "model_version", "plan", "read", "record", "run", "study", "window",
]


def _asked(function, given, set=None, base=None, **more):
    request = {**_source(given, base), "changes": _changes(set), **more}
    return json.loads(function(json.dumps(request)))


class Scenario:
    """A scenario that was read: `text` with nothing left out, `warnings`, and what was assumed."""

    def __init__(self, told: dict) -> None:
        self.text: str = told["text"]
        self.warnings = _diagnostics(told["warnings"])
        self.assumptions: list[dict] = told["assumptions"]


class Run:
    """A computed impact: `summary` as the program writes it, `headline` in plain words; shows its picture in a notebook."""

    def __init__(self, told: dict) -> None:
        self.summary: dict = told["summary"]
        self.headline: str = told["headline"]
        self.text: str = told["text"]
        self.warnings = _diagnostics(told["warnings"])
        self._drawn: dict | None = None

    def _picture(self) -> dict:
        if self._drawn is None:
            # Drawn when somebody looks: the run is computed once more, with its instants.
            self._drawn = _asked(_giveway.picture, self.text + "\n")
        return self._drawn

    @property
    def picture(self) -> str:
        """Six instants from the side and from above, SVG."""
        return self._picture()["svg"]

    def __repr__(self) -> str:
        return self.headline.rstrip()

    def _repr_html_(self) -> str:
        words = html.escape(self.headline.rstrip()).replace("\n", "<br>")
        alt = html.escape(self._picture()["alt"], quote=True)
        return f'<figure role="img" aria-label="{alt}">{self.picture}<figcaption>{words}</figcaption></figure>'


class Plan:
    """A study that was read and not computed: `runs`, `hash`, `columns`, and the texts of all its files."""

    def __init__(self, told: dict) -> None:
        self.title: str = told["title"]
        self.runs: int = told["runs"]
        self.size: str = told["size"]
        self.hash: str = told["hash"]
        self.model_version: int = told["model_version"]
        self.columns: list[str] = told["columns"]
        self.histories: bool = told["histories"]
        self.warnings = _diagnostics(told["warnings"])
        self.source: dict = told["source"]


class Study:
    """The runs of a study, or of a part: a table for pandas, polars and pyarrow; failed runs are rows with their reason."""

    def __init__(self, told: dict, table) -> None:
        self.title: str = told["title"]
        self.hash: str = told["hash"]
        self.rows: int = told["rows"]
        self.failed: int = told["failed"]
        self.runs: int = told["runs"]
        self.warnings = _diagnostics(told["warnings"])
        self.table: Table | Folder = table
        if isinstance(table, Table):
            self.__arrow_c_array__ = table.__arrow_c_array__

    def __len__(self) -> int:
        return self.rows

    def __repr__(self) -> str:
        return f"{self.title or 'study'}: {self.rows} of {self.runs} runs, {self.failed} failed"

    def __arrow_c_stream__(self, requested_schema=None):
        return self.table.__arrow_c_stream__(requested_schema)


class Window(dict):
    """A torque window as the program's `window.json`."""

    @property
    def newton_metres(self) -> tuple[float, float] | None:
        """Least and largest torque; none where no torque does."""
        found = self["window"]["window_nm"]
        return None if found is None else tuple(found)


class Inspection:
    """An inspected pole: `result` as `giveway inspect --format json`, `report` in plain words; a page in a notebook."""

    def __init__(self, told: dict) -> None:
        self.result: dict = told["inspection"]
        self.report: str = told["report"]
        self.page: str = told["page"]
        self.warnings = _diagnostics(told["warnings"])

    def __repr__(self) -> str:
        return self.report.rstrip()

    def _repr_html_(self) -> str:
        page = html.escape(self.page, quote=True)
        return f'<iframe srcdoc="{page}" style="width:100%;height:40em;border:0" title="inspection"></iframe>'


class Record:
    """A laboratory's record, cleaned and judged: `summary`, and its histories as a table."""

    def __init__(self, told: dict, table: Table, asked: dict) -> None:
        self.summary: dict = told["summary"]
        self._asked = asked
        self.warnings = _diagnostics(told["warnings"])
        self.table = table


class Fit:
    """Fitted parameters: `posterior`, and its draws as a table."""

    def __init__(self, told: dict, table: Table) -> None:
        self.posterior: dict = told["posterior"]
        self.warnings = _diagnostics(told["warnings"])
        self.table = table


def read(scenario: Given, set: Changes = None, *, base: Base = None) -> Scenario:
    """Reads a scenario and computes nothing. `set` changes keys, `base` is the folder of what it names."""
    return Scenario(_asked(_giveway.read, scenario, set, base))


def run(scenario: Given, set: Changes = None, *, base: Base = None) -> Run:
    """Computes one impact."""
    return Run(_asked(_giveway.run, scenario, set, base))


def plan(study: Given, set: Changes = None, *, base: Base = None) -> Plan:
    """Reads a study and computes nothing."""
    return Plan(_asked(_giveway.plan, study, set, base))


def study(
    study: Given, set: Changes = None, *, base: Base = None, out: Base = None, part: tuple[int, int] | None = None,
    threads: int | None = None, progress: Callable[[int, int], object] | None = None, csv: bool = True,
) -> Study:
    """Computes a study, or `part=(i, n)` of it, into memory or into the folder `out`, where it goes on after an interruption.

    `csv=False` leaves `runs.csv` out of the folder, which of many runs takes most of the disk.
    `progress(done, runs)` is called about ten times a second from this thread; an exception of it ends the study.
    """
    source = {**_source(study, base), "changes": _changes(set)}
    return _study(source, out, part, threads, progress, csv)


def _study(source, out, part, threads, progress, csv, attempt=False) -> Study:
    out = None if out is None else str(out)
    request = {"source": source, "out": out, "part": part, "threads": threads, "csv": csv, "attempt": attempt}
    told, capsule = _giveway.study(json.dumps(request), progress)
    return Study(json.loads(told), Folder(out) if out is not None else Table(capsule))


def merge(
    parts: Iterable[str | os.PathLike[str]], out: str | os.PathLike[str], *, csv: bool = True, by_part: bool = False
) -> Folder:
    """Joins the folders of the parts of a study; equal runs give equal bytes, however they were computed.

    `csv=False` leaves `runs.csv` out. `by_part=True` leaves the table in the Parquet files of its closed parts, in the folder
    `runs` below `out`, which readers of Parquet take for one table.
    """
    _merged(parts, out, csv, by_part)
    return Folder(out)


def _merged(parts, out, csv, by_part) -> dict:
    request = {"parts": [str(part) for part in parts], "out": str(out), "csv": csv, "by_part": by_part}
    return json.loads(_giveway.merge(json.dumps(request)))


def window(
    scenario: Given, set: Changes = None, *, base: Base = None, vehicles: Sequence[str] = (),
    speeds: Sequence[str] = (), headings: Sequence[str] = (), offsets: Sequence[str] = (),
    documents: Sequence[str] = (), criteria: str | None = None, confidence: float | None = None,
    fragility: int | None = None, realisations: int = 200, seed: int = 1, openings: bool = False,
    directions: int | None = None,
) -> Window:
    """From the wind's least to the impacts' largest torque; options as those of `giveway window`."""
    return Window(
        _asked(
            _giveway.window, scenario, set, base,
            impacts={
                "vehicles": list(vehicles), "speeds": list(speeds), "headings": list(headings),
                "offsets": list(offsets), "documents": list(documents), "criteria": criteria,
            },
            confidence=confidence, fragility=fragility, realisations=realisations, seed=seed, openings=openings,
            directions=directions,
        )
    )


def inspect(record: Given, *, base: Base = None) -> Inspection:
    """Inspects one pole; its type is looked for beside the record, or in `base`."""
    return Inspection(json.loads(_giveway.inspect(json.dumps(_source(record, base)))))


def record(description: Given, set: Changes = None, *, base: Base = None) -> Record:
    """Cleans and judges the record of a test."""
    request = {**_source(description, base), "changes": _changes(set)}
    told, capsule = _giveway.record(json.dumps(request))
    return Record(json.loads(told), Table(capsule), request)


def fit(
    file: Given, set: Changes = None, *, base: Base = None, threads: int | None = None,
    progress: Callable[[int, float], object] | None = None, records: Mapping[str, Record] | None = None,
) -> Fit:
    """Fits parameters to what was measured. `progress(stage, exponent)` is called now and then; the exponent ends at 1.

    `records` holds records by the name that the file gives them; others are folders of `giveway record` beside the file.
    """
    asked = {name: record._asked for name, record in (records or {}).items()}
    request = {**_source(file, base), "changes": _changes(set), "threads": threads, "records": asked}
    told, capsule = _giveway.fit(json.dumps(request), progress)
    return Fit(json.loads(told), Table(capsule))
