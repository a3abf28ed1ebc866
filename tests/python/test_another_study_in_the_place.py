"""Seen: the joining of a study at the address of an object store removed whatever stood there - an older study, somebody's
notes - without a word, and in a folder it replaced an older study. A joining that was ended while it cleared up could not be
repeated: its parts were "not there yet".

Expected: what is not of this plan is refused, before anything is computed and before anything is written, with both hashes and
what to do; of the same plan a second joining leaves the same bytes.
"""

import json

import giveway
import giveway.parts
import pytest


def contents(store, address):
    store.invalidate_cache()
    return {name: store.cat_file(name) for name in store.find(address)}


def computed(study, place, parts=2, **how):
    job = giveway.parts.prepare(study, place, parts, **how)
    for part in range(1, parts + 1):
        giveway.parts.compute(job, part)
    return job


@pytest.fixture
def other(small):
    return {**small, "grid": {**small["grid"], "impact": {"speed": ["31 km/h", "60 km/h", "100 km/h"]}}}


@pytest.fixture(params=["memory", "server"])
def place(request):
    """A store, and an address in it."""
    store = request.getfixturevalue(request.param)
    address = {"memory": "memory://", "server": "s3://harrow-vale/"}[request.param] + "places/large"
    yield store, address
    store.invalidate_cache()
    top = address.removesuffix("/large")
    if store.exists(top):
        store.rm(top, recursive=True)


def refused(kind, call, *words):
    with pytest.raises(kind) as caught:
        call()
    for word in (*words, "Nothing was changed", "remove what stands there"):
        assert str(word) in str(caught.value), (word, str(caught.value))


def test_a_study_of_another_plan_stays(place, small, other):
    store, address = place
    # Prepared and computed while nothing stood there.
    late = computed(other, address)
    first = computed(small, address)
    giveway.parts.finish(first)
    before = contents(store, address)
    assert late["hash"] != first["hash"]
    for call in (lambda: giveway.parts.finish(late), lambda: giveway.parts.prepare(other, address, 2)):
        refused(giveway.InputError, call, "another study", address, late["hash"], first["hash"])
    newer = {**first, "model_version": first["model_version"] + 1}
    refused(giveway.InputError, lambda: giveway.parts.finish(newer), f"of model {newer['model_version']}", first["hash"])
    assert contents(store, address) == before
    # The parts stay, and where the old study is removed they are joined.
    store.rm(address, recursive=True)
    giveway.parts.finish(late)
    told = json.loads(store.cat_file(f"{address}/study.json"))
    assert (told["card"]["plan_hash"], told["rows"]) == (late["hash"], 24)


def test_what_no_study_wrote_stays(place, small, other):
    store, address = place
    # What has nearly that name does not matter.
    store.pipe_file(f"{address}2/notes.md", b"not there")
    job = computed(small, address)
    store.pipe_file(f"{address}/deep/notes.md", b"by hand")
    for call in (lambda: giveway.parts.finish(job), lambda: giveway.parts.prepare(small, address, 2)):
        refused(giveway.FileError, call, "deep/notes.md", address)
    store.rm(f"{address}/deep", recursive=True)
    # Files with a study's names are no study yet.
    for text in (b"{}", b"[1, 2", b'{"card": 3}', b'{"card": {"plan_hash": null}}'):
        store.pipe_file(f"{address}/study.json", text)
        refused(giveway.FileError, lambda: giveway.parts.finish(job), "`study.json`")
    store.rm(address, recursive=True)
    giveway.parts.finish(job)
    # A note beside the study of the same plan, and beside that of another one.
    store.pipe_file(f"{address}/notes.md", b"by hand")
    refused(giveway.FileError, lambda: giveway.parts.prepare(small, address, 2), "`notes.md`")
    refused(giveway.InputError, lambda: giveway.parts.prepare(other, address, 2), job["hash"])
    assert store.cat_file(f"{address}/notes.md") == b"by hand"


def test_a_file_in_the_place_of_the_folder_stays(place, small):
    store, address = place
    store.pipe_file(address, b"a file")
    refused(giveway.FileError, lambda: giveway.parts.prepare(small, address, 2), "places/large")
    assert store.cat_file(address) == b"a file"


def test_a_second_joining_leaves_the_same_bytes(place, small):
    store, address = place
    job = computed(small, address, 3)
    parts = contents(store, job["work"])
    runs = giveway.parts.finish(job)
    before = contents(store, address)
    assert len(before) == 6 and runs == f"{address}/runs"
    # Ended after its last file, and while what was written on the way was removed.
    for name in list(parts)[1:5]:
        store.pipe_file(name, parts[name])
    assert giveway.parts.finish(job) == runs
    assert contents(store, address) == before and not contents(store, job["work"])
    assert giveway.parts.finish(job) == runs
    # A file of it that was lost makes it half: the parts are wanted again.
    lost = next(name for name in before if name.endswith(".parquet"))
    store.rm_file(lost)
    with pytest.raises(giveway.UsageError, match="3 parts are not there yet"):
        giveway.parts.finish(job)
    giveway.parts.finish(computed(small, address, 3))
    after = contents(store, address)
    # The manifest tells when.
    assert {n: b for n, b in after.items() if "manifest" not in n} == {n: b for n, b in before.items() if "manifest" not in n}


def test_half_a_study_is_known_by_its_manifest(place, small, other):
    store, address = place
    job = computed(small, address)
    late = computed(other, address)
    giveway.parts.finish(job)
    store.rm_file(f"{address}/study.json")
    before = contents(store, address)
    refused(giveway.InputError, lambda: giveway.parts.finish(late), "beginning of another study", job["hash"], late["hash"])
    assert contents(store, address) == before
    # The same plan goes on, in other parts too.
    giveway.parts.finish(computed(small, address, 3))
    told = json.loads(store.cat_file(f"{address}/study.json"))
    names = {name.split("large/", 1)[1] for name in contents(store, address)}
    assert names == {"study.json", "manifest.json", "plan.json", *(part["name"] for part in told["parts"])}
    assert len(told["parts"]) == 3


@pytest.mark.parametrize("how", [{}, {"csv": False}, {"by_part": True}])
def test_a_folder_keeps_another_study_and_is_joined_twice(small, other, tmp_path, how):
    out = tmp_path / "large"
    late = computed(other, out, **how)
    job = computed(small, out, **how)
    giveway.parts.finish(job)
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    for call in (lambda: giveway.parts.finish(late), lambda: giveway.parts.prepare(other, out, 2)):
        refused(giveway.InputError, call, out, late["hash"], job["hash"])
    assert giveway.parts.finish(job).path == str(out)
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before


def test_one_part_in_the_place_of_the_study_is_not_the_study(small, tmp_path):
    out = tmp_path / "large"
    job = giveway.parts.prepare(small, out, 2)
    giveway.study(small, out=out, part=(1, 2))
    with pytest.raises(giveway.UsageError, match="2 parts are not there yet"):
        giveway.parts.finish(job)


def test_a_folder_with_somebody_elses_files_is_refused_before_anything_is_computed(small, tmp_path):
    out = tmp_path / "large"
    out.mkdir()
    (out / "notes.md").write_text("by hand")
    with pytest.raises(giveway.FileError, match="is not replaced: it holds no `manifest.json` of this program"):
        giveway.parts.prepare(small, out, 2)
    assert [path.name for path in tmp_path.iterdir()] == ["large"] and (out / "notes.md").read_text() == "by hand"
    # Figures that were drawn into a study that is joined do not matter: nothing is written.
    (out / "notes.md").unlink()
    giveway.parts.finish(computed(small, out))
    (out / "figures").mkdir()
    (out / "figures" / "curve.txt").write_text("drawn")
    assert giveway.parts.missing(giveway.parts.prepare(small, out, 2)) == []
    with pytest.raises(giveway.FileError, match="figures/curve.txt"):
        giveway.parts.prepare(small, out, 2, by_part=True)
