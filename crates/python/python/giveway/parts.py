"""Parts of one study on many machines that share a folder.

An attempt writes under a name of its own and is published by one atomic renaming, so that a part may be tried again at any
time, also while a lost attempt still runs. Whoever publishes first counts; the others are thrown away. Equal runs give equal
bytes, so it does not matter who that is.
"""

from __future__ import annotations

import os
import shutil
import uuid
from pathlib import Path

from . import UsageError, _merged, _source, _changes, _study, model_version
from . import plan as read_plan
from ._table import Folder


def prepare(study, folder, parts, set=None, *, base=None) -> dict:
    """What every part must know, as plain data: the texts of all files, hash, version of the model, slices."""
    planned = read_plan(study, set, base=base)
    if not 1 <= parts <= planned.runs:
        raise UsageError(f"the study has {planned.runs} runs; {parts} parts of it cannot be")
    if planned.histories:
        raise UsageError("the study asks for histories; parts of it are computed by the program alone")
    source = _source(study, base)
    # A name of this plan and these parts: another plan never takes them for its own.
    work = Path(folder).absolute()
    work = work.with_name(f".{work.name}.{planned.hash[:16]}.{model_version}.{parts}")
    return {
        "source": {**source, "changes": _changes(set), "scenarios": planned.source["scenarios"]},
        "hash": planned.hash, "model_version": planned.model_version, "runs": planned.runs,
        "parts": parts, "work": str(work), "out": str(Path(folder).absolute()),
    }


def compute(job: dict, part: int, threads: int = 1) -> str:
    """Computes and publishes one part, from 1; what is published already is left as it is. Gives its folder."""
    check(job["model_version"], model_version)
    work = Path(job["work"])
    published = work / f"part-{part}"
    if published.exists():
        return str(published)
    attempt = work / "attempts" / f"{part}-{uuid.uuid4().hex}"
    attempt.parent.mkdir(parents=True, exist_ok=True)
    try:
        done = _study(job["source"], attempt, (part, job["parts"]), threads, None)
        if done.hash != job["hash"]:
            raise UsageError("this machine reads another plan from the same texts; its giveway is another one")
        try:
            os.rename(attempt, published)
        except OSError:
            # A folder that is not empty is not replaced: somebody else was first.
            if not published.exists():
                raise
    finally:
        shutil.rmtree(attempt, ignore_errors=True)
    return str(published)


def check(asked: int, found: int, where: str = "this machine") -> None:
    """Another version of the model gives other digits."""
    if asked != found:
        raise UsageError(f"{where} computes with model {found} instead of {asked}; install the same giveway everywhere")


def finish(job: dict) -> Folder:
    """Joins the parts into the folder of the study and throws what was written on the way away."""
    folders = [Path(job["work"]) / f"part-{part}" for part in range(1, job["parts"] + 1)]
    missing = [folder.name for folder in folders if not folder.exists()]
    if missing:
        raise UsageError(f"{len(missing)} parts are not there yet: {', '.join(missing[:5])}")
    told = _merged(folders, job["out"])
    if told["study"]["rows"] != job["runs"]:
        raise UsageError(f"{job['runs']} runs were planned and {told['study']['rows']} are there; the parts stay in {job['work']}")
    shutil.rmtree(job["work"], ignore_errors=True)
    return Folder(job["out"])
