"""A study on worker processes of which one is killed with its children: the bytes are those of one process."""

import os
import random
import signal
import subprocess
import sys
import threading
import time

import giveway
import giveway.dask
import giveway.parts
import pyarrow as pa
import pytest
from distributed import Client, LocalCluster

NAMES = ("runs.parquet", "runs.csv", "study.json")


@pytest.fixture(scope="module")
def cluster():
    # A scheduler without workers, on the loopback interface.
    with LocalCluster(n_workers=0, host="127.0.0.1", dashboard_address=None) as cluster, Client(cluster) as client:
        yield cluster, client


def worker(address):
    """A worker and the process that watches it, as a group of their own."""
    command = [sys.executable, "-m", "distributed.cli.dask_worker", address, "--nthreads", "1", "--no-dashboard"]
    return subprocess.Popen(command, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def ended(process):
    """Ends the group."""
    try:
        os.killpg(process.pid, signal.SIGKILL)
    except ProcessLookupError:
        pass
    process.wait(timeout=10)


@pytest.fixture(scope="module")
def large(scenarios):
    return {
        "title": "large",
        "base": str(scenarios / "first.toml"),
        "output": {"columns": ["velocity_change_mps", "ending"]},
        "grid": {
            "slip_base": {"clamp": {"torque": {"from": "50 N.m", "to": "400 N.m", "steps": 100}}},
            "impact": {"speed": ["30 km/h", "60 km/h", "100 km/h"]},
        },
    }


def test_a_killed_worker_leaves_no_trace(cluster, large, tmp_path):
    cluster, client = cluster
    giveway.study(large, out=tmp_path / "whole")
    chance = random.Random(7)
    steady = worker(cluster.scheduler_address)
    killed_within = 0
    try:
        for attempt in range(5):
            victim = worker(cluster.scheduler_address)
            try:
                client.wait_for_workers(2, timeout=60)
                ticked = []
                killer = threading.Timer(chance.uniform(0.05, 0.5), ended, [victim])
                killer.start()
                out = tmp_path / f"dask-{attempt}"
                giveway.dask.study(client, large, out, parts=12, progress=lambda done, parts: ticked.append(done))
                killed_within += not killer.is_alive()
                killer.join()
                assert ticked == list(range(1, 13))
                for name in NAMES:
                    assert (out / name).read_bytes() == (tmp_path / "whole" / name).read_bytes(), (attempt, name)
            finally:
                ended(victim)
            # The scheduler hears of the loss by the closed connection.
            until = time.monotonic() + 20
            while len(client.run_on_scheduler(lambda dask_scheduler: list(dask_scheduler.workers))) > 1:
                assert time.monotonic() < until
                time.sleep(0.05)
        assert killed_within >= 1
        # Joined already: nothing is computed.
        ticked = []
        giveway.dask.study(client, large, tmp_path / "dask-0", parts=12, progress=lambda *done: ticked.append(done))
        assert ticked == []
        assert not [p for p in tmp_path.iterdir() if p.name.startswith(".dask")]
    finally:
        ended(steady)


def test_a_part_may_be_tried_twice_and_the_first_counts(small, tmp_path):
    job = giveway.parts.prepare(small, tmp_path / "study", 3)
    with pytest.raises(giveway.UsageError, match="not there yet"):
        giveway.parts.finish(job)
    for part in (1, 2, 2, 3, 1):
        giveway.parts.compute(job, part)
    assert giveway.parts.missing(job) == []
    giveway.parts.finish(job)
    giveway.study(small, out=tmp_path / "whole")
    for name in NAMES:
        assert (tmp_path / "study" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes(), name


def test_another_model_is_refused_before_anything_is_computed(small, tmp_path):
    job = giveway.parts.prepare(small, tmp_path / "study", 2)
    with pytest.raises(giveway.UsageError, match="model"):
        giveway.parts.compute({**job, "model_version": job["model_version"] + 1}, 1)
    assert list(tmp_path.iterdir()) == []
    for parts in (0, 25):
        with pytest.raises(giveway.UsageError):
            giveway.parts.prepare(small, tmp_path / "study", parts)


def test_another_plan_is_refused_on_the_machine_that_computes(small, tmp_path):
    job = giveway.parts.prepare(small, tmp_path / "study", 2)
    source = {**job["source"], "text": job["source"]["text"].replace("100 km/h", "101 km/h")}
    assert source["text"] != job["source"]["text"]
    with pytest.raises(giveway.InputError) as caught:
        giveway.parts.compute({**job, "source": source}, 1)
    assert caught.value.diagnostics[0].code == "T051"
    assert not [p for p in tmp_path.rglob("*") if p.name == "study.json"]


def test_parts_may_stay_in_their_files(small, tmp_path):
    job = giveway.parts.prepare(small, tmp_path / "study", 4, by_part=True)
    for part in (4, 2, 1, 3):
        giveway.parts.compute(job, part)
    table = giveway.parts.finish(job)
    # What was written on the way is gone, the files are not.
    assert sorted(p.name for p in tmp_path.iterdir()) == ["study"]
    assert len(list((tmp_path / "study" / "runs").iterdir())) == 4
    giveway.study(small, out=tmp_path / "whole")
    assert pa.table(table).to_pydict() == pa.table(giveway.Folder(tmp_path / "whole")).to_pydict()


def test_a_small_part_costs_little(small, tmp_path):
    """Of a study with many values, each part of one run: what it costs besides its run is told and bounded."""
    small["grid"]["slip_base"]["clamp"]["torque"]["steps"] = 400
    job = giveway.parts.prepare(small, tmp_path / "study", 1200)
    giveway.parts.compute(job, 1)
    started = time.process_time()
    for part in range(2, 22):
        giveway.parts.compute(job, part)
    each = (time.process_time() - started) / 20
    print(f"{1e3 * each:.1f} ms of processor time a part of one run")
    assert each < 0.05
