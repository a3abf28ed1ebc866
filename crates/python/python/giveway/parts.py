"""Parts of one study on many machines that share a folder, or an object store.

An attempt writes under a name of its own and is published by one atomic renaming, so that a part may be tried again at any
time, also while a lost attempt still runs. Whoever publishes first counts; the others are thrown away. Equal runs give equal
bytes, so it does not matter who that is.

An object store has no renaming; there an attempt is computed on the machine's own disk, and its files are put one by one, the
one that closes the study last. A part is published when that one is there.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import uuid
from pathlib import Path

from . import UsageError, _merged, _source, _changes, _study, model_version
from . import plan as read_plan
from ._table import Folder

# What the store needs of a part; the last closes it.
NAMES = ("runs.parquet", "plan.json", "study.json")


def prepare(study, folder, parts, set=None, *, base=None, csv=True, by_part=False) -> dict:
    """What every part must know, as plain data: the texts of all files, hash, version of the model, slices.

    `csv` and `by_part` say what `finish` leaves, as with `giveway.merge`. `folder` may be the address of an object store that
    fsspec knows (`s3://bucket/large`), where the table always stays in its parts.
    """
    planned = read_plan(study, set, base=base)
    if not 1 <= parts <= planned.runs:
        raise UsageError(f"the study has {planned.runs} runs; {parts} parts of it cannot be")
    if planned.histories:
        raise UsageError("the study asks for histories; parts of it are computed by the program alone")
    source = _source(study, base)
    # A name of this plan and these parts: another plan never takes them for its own.
    out, work = _places(folder, f".{planned.hash[:16]}.{model_version}.{parts}")
    return {
        # With the hash no machine tries the values again, and none computes another plan.
        "source": {
            **source, "changes": _changes(set), "scenarios": planned.source["scenarios"], "hash": planned.hash,
        },
        "hash": planned.hash, "model_version": planned.model_version, "runs": planned.runs,
        "parts": parts, "work": work, "out": out, "csv": csv, "by_part": by_part or in_store(out),
    }


def compute(job: dict, part: int, threads: int = 1) -> str:
    """Computes and publishes one part, from 1; what is published already is left as it is. Gives its folder."""
    check(job["model_version"], model_version)
    published = f"{job['work']}/part-{part}"
    if in_store(published):
        _compute_for_store(job, part, threads, published)
        return published
    published = Path(published)
    if published.exists():
        return str(published)
    attempt = Path(job["work"]) / "attempts" / f"{part}-{uuid.uuid4().hex}"
    attempt.parent.mkdir(parents=True, exist_ok=True)
    try:
        _study(job["source"], attempt, (part, job["parts"]), threads, None, csv=False)
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


def finish(job: dict) -> Folder | str:
    """Joins the parts into the folder of the study and throws what was written on the way away.

    Of an object store it gives the address of the data set, for any reader of Parquet.
    """
    if in_store(job["out"]):
        return _finish_in_store(job)
    folders = [Path(job["work"]) / f"part-{part}" for part in range(1, job["parts"] + 1)]
    _all_there(job, [folder.exists() for folder in folders])
    _whole(job, _merged(folders, job["out"], job["csv"], job["by_part"]))
    shutil.rmtree(job["work"], ignore_errors=True)
    return Folder(job["out"])


def _all_there(job, found) -> None:
    missing = [f"part-{part}" for part, there in enumerate(found, 1) if not there]
    if missing:
        raise UsageError(f"{len(missing)} parts are not there yet: {', '.join(missing[:5])}")


def _whole(job, told) -> None:
    if told["study"]["rows"] != job["runs"]:
        raise UsageError(f"{job['runs']} runs were planned and {told['study']['rows']} are there; the parts stay in {job['work']}")


def in_store(place) -> bool:
    """Whether it is the address of a store and not a path."""
    return "://" in str(place)


def _places(folder, tail) -> tuple[str, str]:
    """Where the study goes, and a hidden name beside it."""
    if not in_store(folder):
        out = Path(folder).absolute()
        return str(out), str(out.with_name(f".{out.name}{tail}"))
    scheme, _, rest = str(folder).partition("://")
    place, _, name = rest.rstrip("/").rpartition("/")
    if not place.strip("/"):
        raise UsageError(f"`{folder}` names no folder: give {scheme}://bucket/name")
    return f"{scheme}://{place}/{name}", f"{scheme}://{place}/.{name}{tail}"


def _store(address):
    """Its file system. Keys and addresses of servers come from fsspec's own settings, never from a job."""
    from fsspec.core import url_to_fs

    files, _ = url_to_fs(address)
    # What other machines put is not in this one's list.
    files.invalidate_cache()
    return files


def _compute_for_store(job, part, threads, published) -> None:
    store = _store(published)
    if store.exists(f"{published}/{NAMES[-1]}"):
        return
    with tempfile.TemporaryDirectory(prefix="giveway-part-") as place:
        attempt = Path(place) / "study"
        _study(job["source"], attempt, (part, job["parts"]), threads, None, csv=False)
        # Another attempt puts the same bytes under the same names.
        for name in NAMES:
            store.put_file(str(attempt / name), f"{published}/{name}")


def _finish_in_store(job) -> str:
    store = _store(job["out"])
    addresses = [f"{job['work']}/part-{part}" for part in range(1, job["parts"] + 1)]
    _all_there(job, [store.exists(f"{address}/{NAMES[-1]}") for address in addresses])
    with tempfile.TemporaryDirectory(prefix="giveway-join-") as place:
        folders = []
        for number, address in enumerate(addresses, 1):
            folder = Path(place) / f"part-{number}"
            folder.mkdir()
            for name in NAMES:
                store.get_file(f"{address}/{name}", str(folder / name))
            folders.append(folder)
        # Every file is held against its checksum here.
        joined = Path(place) / "joined"
        _whole(job, _merged(folders, joined, False, True))
        # What is there of an earlier study of this name is no part of this one.
        if store.exists(job["out"]):
            store.rm(job["out"], recursive=True)
        files = sorted(path for path in joined.rglob("*") if path.is_file() and path.name != NAMES[-1])
        for path in [*files, joined / NAMES[-1]]:
            store.put_file(str(path), f"{job['out']}/{path.relative_to(joined).as_posix()}")
    store.rm(job["work"], recursive=True)
    return f"{job['out']}/runs"
