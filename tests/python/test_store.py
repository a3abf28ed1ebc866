"""Parts published to and joined in an object store: one in memory, and a server of the S3 interface on this machine."""

import io
import json

import giveway
import giveway.parts
import pyarrow.parquet as pq
import pytest


def table(store, address):
    """The data set as a reader sees it."""
    names = sorted(store.ls(address, detail=False))
    return [pq.read_table(io.BytesIO(store.cat_file(name))) for name in names]


def rows(tables):
    return [row for table in tables for row in table.to_pylist()]


def goes_through(store, address, small, tmp_path):
    giveway.study(small, out=tmp_path / "whole")
    expected = pq.read_table(tmp_path / "whole" / "runs.parquet").to_pylist()
    job = giveway.parts.prepare(small, address, 3)
    with pytest.raises(giveway.UsageError, match="3 parts are not there yet"):
        giveway.parts.finish(job)
    # A job is plain data, and a part may be tried as often as one likes.
    job = json.loads(json.dumps(job))
    for part in (3, 1, 1):
        giveway.parts.compute(job, part)
    # An attempt that was lost after its first file: the part is not there.
    store.pipe_file(f"{job['work']}/part-2/runs.parquet", b"half")
    with pytest.raises(giveway.UsageError, match="1 parts are not there yet: part-2"):
        giveway.parts.finish(job)
    assert giveway.parts.missing(job) == [2]
    giveway.parts.compute(job, 2)
    # A part that was cut short in the store is not there, and tried again it is mended.
    name = f"{job['work']}/part-3/runs.parquet"
    bytes_of = store.cat_file(name)
    store.pipe_file(name, bytes_of[:-1])
    with pytest.raises(giveway.UsageError, match="1 parts are not there yet: part-3"):
        giveway.parts.finish(job)
    giveway.parts.compute(job, 3)
    assert store.cat_file(name) == bytes_of
    # So with the file that closes it, wherever that was cut.
    closing = name.replace("runs.parquet", "study.json")
    text = store.cat_file(closing)
    for cut in (0, 1, 300, len(text) - 2):
        store.pipe_file(closing, text[:cut])
        with pytest.raises(giveway.UsageError, match="1 parts are not there yet: part-3"):
            giveway.parts.finish(job)
    giveway.parts.compute(job, 3)
    assert store.cat_file(closing) == text
    # One that was changed in its place is found by its checksum; what to do is said.
    store.pipe_file(name, bytes_of[:-1] + b"?")
    with pytest.raises(giveway.FileError, match=r"part-3.*changed.*remove that part from the store") as caught:
        giveway.parts.finish(job)
    assert name in str(caught.value)
    assert not store.exists(f"{job['out']}/study.json")
    store.rm(f"{job['work']}/part-3", recursive=True)
    giveway.parts.compute(job, 3)
    runs = giveway.parts.finish(job)
    assert runs == f"{address}/runs" and giveway.parts.missing(job) == []
    assert rows(table(store, runs)) == expected
    told = json.loads(store.cat_file(f"{address}/study.json"))
    assert told["status"] == "complete" and told["rows"] == 24 and len(told["parts"]) == 3
    store.invalidate_cache()
    assert not store.exists(job["work"])
    # The same address again, in other parts: nothing of the old ones stays.
    again = giveway.parts.prepare(small, address, 2)
    for part in (1, 2):
        giveway.parts.compute(again, part)
    giveway.parts.finish(again)
    store.invalidate_cache()
    assert len(store.ls(runs)) == 2 and rows(table(store, runs)) == expected
    with pytest.raises(giveway.UsageError, match="model"):
        giveway.parts.compute({**job, "model_version": job["model_version"] + 1}, 1)


def test_a_store_in_memory(memory, small, tmp_path):
    goes_through(memory, "memory://studies/large", small, tmp_path)


def test_a_server_of_the_s3_interface(server, small, tmp_path):
    goes_through(server, "s3://harrow-vale/studies/large", small, tmp_path)


def test_an_address_without_a_folder_is_refused(small):
    for address in ("memory://", "s3://", "s3:///"):
        with pytest.raises(giveway.UsageError, match="names no folder"):
            giveway.parts.prepare(small, address, 2)
    with pytest.raises(giveway.UsageError, match="give its path alone"):
        giveway.parts.prepare(small, "file:///studies/large", 2)
