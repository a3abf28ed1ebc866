"""Parts of one study on many machines that share a folder, or an object store.

An attempt writes under a name of its own and is published by one atomic renaming, so that a part may be tried again at any
time, also while a lost attempt still runs. Whoever publishes first counts; the others are thrown away. Equal runs give equal
bytes, so it does not matter who that is.

An object store has no renaming; there an attempt is computed on the machine's own disk, and its files are put one by one, the
one that closes the study last. A part is published when that one is there and the files that it names are as long as it says.

What stands at the place of the study and is not of this plan is never replaced: it is refused before anything is computed, and
once more before anything is written.

For batch jobs: `python -m giveway.parts prepare|compute|missing|finish`.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import sys
import tempfile
import uuid
from pathlib import Path

from . import FileError, GivewayError, InputError, UsageError, _giveway, _merged, _source, _changes, _study, model_version
from . import plan as read_plan
from ._table import Folder

# What the store needs of a part; the last closes it.
NAMES = ("runs.parquet", "plan.json", "study.json")
CLOSING = NAMES[-1]
# Of a study that is joined in a store the manifest is put first: it tells whose a half one is.
MANIFEST = "manifest.json"
OURS = re.compile(rf"{CLOSING}|{MANIFEST}|plan\.json|runs/\d+-\d+\.parquet")


def prepare(study, folder, parts, set=None, *, base=None, csv=True, by_part=False) -> dict:
    """What every part must know, as plain data: the texts of all files, hash, version of the model, slices.

    `csv` and `by_part` say what `finish` leaves, as with `giveway.merge`. `folder` may be the address of an object store that
    fsspec knows (`s3://bucket/large`), where the table always stays in its parts. Another study there is refused.
    """
    planned = read_plan(study, set, base=base)
    if not 1 <= parts <= planned.runs:
        raise UsageError(f"the study has {planned.runs} runs; {parts} parts of it cannot be")
    if planned.histories:
        raise UsageError("the study asks for histories; parts of it are computed by the program alone")
    source = _source(study, base)
    # A name of this plan and these parts: another plan never takes them for its own.
    out, work = _places(folder, f".{planned.hash[:16]}.{model_version}.{parts}")
    job = {
        # With the hash no machine tries the values again, and none computes another plan.
        "source": {
            **source, "changes": _changes(set), "scenarios": planned.source["scenarios"], "hash": planned.hash,
        },
        "hash": planned.hash, "model_version": planned.model_version, "runs": planned.runs,
        "parts": parts, "work": work, "out": out, "csv": csv, "by_part": by_part or in_store(out),
    }
    # Before hours of work, not after them.
    if in_store(out):
        _standing_in_store(job)
    elif not _finished(job, _standing(job)):
        _giveway.may_be_written(json.dumps(out))
    return job


def compute(job: dict, part: int, threads: int = 1) -> str:
    """Computes and publishes one part, from 1; what is published already is left as it is. Gives its folder."""
    check(job["model_version"], model_version)
    published = f"{job['work']}/part-{part}"
    if in_store(published):
        _compute_for_store(job, part, threads)
        return published
    published = Path(published)
    if published.exists():
        return str(published)
    attempt = Path(job["work"]) / "attempts" / f"{part}-{uuid.uuid4().hex}"
    attempt.parent.mkdir(parents=True, exist_ok=True)
    try:
        _study(job["source"], attempt, (part, job["parts"]), threads, None, csv=False, attempt=True)
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

    Of an object store it gives the address of the data set, for any reader of Parquet. A second call, also after one that was
    ended at any instant, leaves the same bytes.
    """
    if in_store(job["out"]):
        return _finish_in_store(job)
    if _finished(job, _standing(job)):
        shutil.rmtree(job["work"], ignore_errors=True)
        return Folder(job["out"])
    _all_there(job)
    folders = [Path(job["work"]) / f"part-{part}" for part in range(1, job["parts"] + 1)]
    _whole(job, _merged(folders, job["out"], job["csv"], job["by_part"]))
    shutil.rmtree(job["work"], ignore_errors=True)
    return Folder(job["out"])


def missing(job: dict) -> list[int]:
    """The parts that are still to be computed; none where the study is joined already."""
    if in_store(job["out"]):
        return _missing_in_store(job)
    if _finished(job, _standing(job)):
        return []
    return [part for part in range(1, job["parts"] + 1) if not (Path(job["work"]) / f"part-{part}").exists()]


def _all_there(job) -> None:
    if gone := missing(job):
        first = ", ".join(f"part-{part}" for part in gone[:5])
        raise UsageError(f"{len(gone)} parts are not there yet: {first}; compute what `missing` lists and finish again")


def _whole(job, told) -> None:
    if told["study"]["rows"] != job["runs"]:
        raise UsageError(f"{job['runs']} runs were planned and {told['study']['rows']} are there; the parts stay in {job['work']}")


def _read_json(read) -> dict:
    """What a file tells; nothing where it is not there or was cut short."""
    try:
        told = json.loads(read())
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return {}
    return told if isinstance(told, dict) else {}


def _standing(job) -> dict:
    """The `study.json` that stands in the folder of the study. Other files there are looked at when it is written."""
    found = _read_json((Path(job["out"]) / CLOSING).read_bytes)
    _check_plan(job, found)
    return found


def _origin(told: dict) -> tuple | None:
    """Hash of the plan and version of the model, by a `study.json` or a manifest."""
    card = told.get("card", told)
    origin = (card.get("plan_hash", card.get("input_blake3")), card.get("model_version")) if isinstance(card, dict) else (None,)
    return None if None in origin else origin


def _check_plan(job, found: dict, what: str = "another study") -> None:
    asked, there = (job["hash"], job["model_version"]), _origin(found)
    if there not in (None, asked):
        raise InputError(
            f"`{job['out']}` holds {what}: its plan is {there[0]} of model {there[1]}, asked for is {asked[0]} of model "
            f"{asked[1]}. Nothing was changed; give another place, or remove what stands there"
        )


def _finished(job, study: dict) -> bool:
    """Whether this is the study that `finish` leaves: whole, and in the form that the job asks for."""
    # A part alone calls itself complete too.
    if study.get("rows") != job["runs"] or study.get("mixed_with"):
        return False
    if job["by_part"]:
        return len(study.get("parts", ())) == job["parts"]
    return "parts" not in study and job["csv"] == any(file["name"] == "runs.csv" for file in study.get("files", ()))


def in_store(place) -> bool:
    """Whether it is the address of a store and not a path."""
    return "://" in str(place)


def _places(folder, tail) -> tuple[str, str]:
    """Where the study goes, and a hidden name beside it."""
    if not in_store(folder):
        out = Path(folder).absolute()
        return str(out), str(out.with_name(f".{out.name}{tail}"))
    scheme, _, rest = str(folder).partition("://")
    if scheme in ("file", "local"):
        raise UsageError(f"`{folder}` is a folder: give its path alone")
    place, _, name = rest.rstrip("/").rpartition("/")
    if not place.strip("/"):
        raise UsageError(f"`{folder}` names no folder: give {scheme}://bucket/name")
    return f"{scheme}://{place}/{name}", f"{scheme}://{place}/.{name}{tail}"


def _store(address):
    """Its file system, and the place in it. Keys and addresses of servers come from fsspec's own settings, never from a job."""
    from fsspec.core import url_to_fs

    store, place = url_to_fs(address)
    # What other machines put is not in this one's list.
    store.invalidate_cache()
    return store, place


def _sizes(store, place) -> dict[str, int]:
    """Length of each file at a place, by its name from there."""
    found = store.find(place, detail=True)
    files = {name: about["size"] for name, about in found.items() if about["type"] == "file"}
    return {name[len(place) + 1 :]: size for name, size in files.items() if f"{name}/".startswith(f"{place}/")}


def _closed(study: dict, sizes) -> dict:
    """A `study.json` of which each file is as long as it says; of anything less, nothing."""
    files = study.get("files", ())
    return study if files and all(sizes.get(file["name"]) == file["bytes"] for file in files) else {}


def _published(store, place, sizes) -> bool:
    """Whether a part is whole, by the lengths of its files."""
    return CLOSING in sizes and bool(_closed(_read_json(lambda: store.cat_file(f"{place}/{CLOSING}")), sizes))


def _missing_in_store(job) -> list[int]:
    if _finished(job, _standing_in_store(job)[0]):
        return []
    store, work = _store(job["work"])
    sizes: dict[str, dict[str, int]] = {}
    for path, size in _sizes(store, work).items():
        part, _, name = path.partition("/")
        sizes.setdefault(part, {})[name] = size
    parts = range(1, job["parts"] + 1)
    return [part for part in parts if not _published(store, f"{work}/part-{part}", sizes.get(f"part-{part}", {}))]


def _standing_in_store(job) -> tuple[dict, dict[str, int]]:
    """The study of this plan that stands at the address, if it is whole, and what there is of it; anything else is refused."""
    store, place = _store(job["out"])
    sizes = _sizes(store, place)
    study, manifest = (
        _read_json(lambda: store.cat_file(f"{place}/{name}")) if name in sizes else {} for name in (CLOSING, MANIFEST)
    )
    _check_plan(job, study)
    known = _origin(study) or _origin(manifest)
    strange = sorted(name for name in sizes if not known or not OURS.fullmatch(name))
    if strange:
        raise FileError(
            f"`{job['out']}` is not replaced: it holds `{strange[0] or place}`, which no joining of parts wrote. Nothing was "
            "changed; give another address, or remove what stands there"
        )
    if not study:
        _check_plan(job, manifest, "the beginning of another study")
    return _closed(study, sizes), sizes


def _compute_for_store(job, part, threads) -> None:
    store, work = _store(job["work"])
    place = f"{work}/part-{part}"
    if _published(store, place, _sizes(store, place)):
        return
    with tempfile.TemporaryDirectory(prefix="giveway-part-") as disk:
        attempt = Path(disk) / "study"
        _study(job["source"], attempt, (part, job["parts"]), threads, None, csv=False, attempt=True)
        # Another attempt puts the same bytes under the same names.
        for name in NAMES:
            store.put_file(str(attempt / name), f"{place}/{name}")


def _finish_in_store(job) -> str:
    store, out = _store(job["out"])
    _, work = _store(job["work"])
    if not _finished(job, _standing_in_store(job)[0]):
        _all_there(job)
        with tempfile.TemporaryDirectory(prefix="giveway-join-") as disk:
            joined = _joined(job, store, work, Path(disk))
            # What came since it was looked at first.
            _put(store, out, _standing_in_store(job)[1], joined)
    if store.exists(work):
        store.rm(work, recursive=True)
    return f"{job['out']}/runs"


def _joined(job, store, work, disk: Path) -> Path:
    """The study joined on this machine's disk, where every file of the parts is held against its checksum."""
    folders = []
    for part in range(1, job["parts"] + 1):
        folder = disk / f"part-{part}"
        folder.mkdir()
        for name in NAMES:
            store.get_file(f"{work}/part-{part}/{name}", str(folder / name))
        folders.append(folder)
    try:
        _whole(job, _merged(folders, disk / "joined", False, True))
    except FileError as problem:
        told = str(problem).replace(str(disk), job["work"])
        raise FileError(f"{told}; remove that part from the store, compute it again and finish again") from None
    return disk / "joined"


def _put(store, out, sizes, joined: Path) -> None:
    """Puts a joined study in the place of what there is of it. Nothing counts as a study until its last file is put."""
    made = sorted(path.relative_to(joined).as_posix() for path in joined.rglob("*") if path.is_file())
    middle = [name for name in made if name not in (MANIFEST, CLOSING)]
    if CLOSING in sizes:
        store.rm_file(f"{out}/{CLOSING}")
    store.put_file(str(joined / MANIFEST), f"{out}/{MANIFEST}")
    for name in sizes.keys() - {*made}:
        store.rm_file(f"{out}/{name}")
    for name in [*middle, CLOSING]:
        store.put_file(str(joined / name), f"{out}/{name}")


def ranges(parts: list[int]) -> str:
    """Ascending numbers as schedulers write them: `3,17,200-204`."""
    told: list[list[int]] = []
    for part in parts:
        if told and told[-1][1] == part - 1:
            told[-1][1] = part
        else:
            told.append([part, part])
    return ",".join(f"{first}-{last}" if last > first else str(first) for first, last in told)


def _keep(job: dict, path: Path) -> None:
    """Writes a job whole, and never over another one."""
    text = json.dumps(job)
    if path.exists() and _read_json(path.read_bytes) != json.loads(text):
        raise UsageError(f"`{path}` holds something else; nothing was written: give another name by --job, or remove it")
    half = path.with_name(f".{path.name}.{uuid.uuid4().hex}.tmp")
    half.write_text(text)
    os.replace(half, path)


def main(given: list[str] | None = None) -> int:
    """The same for shells and schedulers. Ends with 0, or as the program: 1 computing failed, 2 usage, 3 input, 4 files."""
    parser = argparse.ArgumentParser(prog="python -m giveway.parts", description=__doc__.split("\n")[0])
    commands = parser.add_subparsers(dest="command", required=True)
    asked = commands.add_parser("prepare", help="write what every part must know into a file, the job")
    asked.add_argument("study", help="study file")
    asked.add_argument("folder", help="where the study goes: a shared folder, or the address of an object store")
    asked.add_argument("parts", type=int, help="in how many parts")
    asked.add_argument("--set", action="append", default=[], metavar="PATH=VALUE", help="one more change of every run")
    asked.add_argument("--no-csv", action="store_true", help="leave runs.csv out")
    asked.add_argument("--by-part", action="store_true", help="leave the table in the files of its parts")
    asked.add_argument("--job", type=Path, default=Path("job.json"), help="the job's file (job.json)")
    for name, help in (
        ("compute", "compute and publish one part"),
        ("missing", "list the parts that are still to be computed"),
        ("finish", "join the parts"),
    ):
        asked = commands.add_parser(name, help=help)
        asked.add_argument("job", type=Path, help="the job's file")
        if name == "compute":
            asked.add_argument("part", type=int, help="number of the part, from 1")
            asked.add_argument("--threads", type=int, default=1, help="threads (1)")
    asked = parser.parse_args(given)
    try:
        print(_done(asked))
    except GivewayError as problem:
        print(problem, file=sys.stderr)
        return next(code for kind, code in EXITS.items() if isinstance(problem, kind))
    return 0


EXITS = {UsageError: 2, InputError: 3, FileError: 4, GivewayError: 1}


def _done(asked) -> str:
    """What the command says."""
    if asked.command == "prepare":
        pairs = [tuple(change.partition("=")[::2]) for change in asked.set]
        job = prepare(asked.study, asked.folder, asked.parts, pairs, csv=not asked.no_csv, by_part=asked.by_part)
        _keep(job, asked.job)
        return f"{job['runs']} runs in {job['parts']} parts; plan {job['hash']}, model {job['model_version']}; {asked.job}"
    try:
        job = json.loads(asked.job.read_bytes())
    except (OSError, ValueError) as problem:
        raise FileError(f"`{asked.job}` cannot be read as a job: {problem}") from None
    if asked.command == "compute":
        return compute(job, asked.part, asked.threads)
    if asked.command == "missing":
        return ranges(missing(job))
    table = finish(job)
    return table.path if isinstance(table, Folder) else table


if __name__ == "__main__":
    sys.exit(main())
