"""Studies: rows as the program writes them, for every reader; progress, interruption, threads."""

import subprocess
import threading
import time

import giveway
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import tomli_w
from tqdm import tqdm


def written(program, plan, folder):
    """The folder of the program's own study."""
    file = folder / "small.toml"
    file.write_text(tomli_w.dumps(plan))
    done = subprocess.run([program, "study", file, "--out", folder / "own", "--quiet"], check=False)
    assert done.returncode == 0
    return folder / "own"


def test_rows_have_the_programs_bits_for_every_reader(small, program, tmp_path):
    own = pq.read_table(written(program, small, tmp_path) / "runs.parquet")
    study = giveway.study(small)
    table = pa.table(study)
    assert table.column_names == own.column_names
    assert table.to_pydict() == own.to_pydict()
    assert len(study) == table.num_rows == 24 and study.failed == 0
    assert table.schema.field("velocity_change_mps").metadata[b"meaning"]
    array = pa.record_batch(study.table)
    assert array.to_pydict() == own.to_pydict()
    assert pl.DataFrame(study).to_dict(as_series=False) == own.to_pydict()
    assert pd.DataFrame.from_arrow(study)["velocity_change_mps"].tolist() == own["velocity_change_mps"].to_pylist()


def test_a_folder_has_the_programs_bytes_and_streams(small, program, tmp_path):
    own = written(program, small, tmp_path)
    study = giveway.study(small, out=tmp_path / "here")
    for name in ("runs.parquet", "runs.csv", "study.json"):
        assert (tmp_path / "here" / name).read_bytes() == (own / name).read_bytes(), name
    assert pa.table(study).to_pydict() == pq.read_table(own / "runs.parquet").to_pydict()
    assert not hasattr(study, "__arrow_c_array__")


def test_parts_join_to_the_bytes_of_the_whole(small, tmp_path):
    giveway.study(small, out=tmp_path / "whole")
    parts = [tmp_path / f"part{i}" for i in (1, 2, 3)]
    for i, part in enumerate(parts, 1):
        giveway.study(small, out=part, part=(i, 3))
    giveway.merge(parts, tmp_path / "joined")
    for name in ("runs.parquet", "runs.csv", "study.json"):
        assert (tmp_path / "joined" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes(), name
    with pytest.raises(giveway.UsageError):
        giveway.study(small, part=(4, 3))


def test_a_failed_run_is_a_row_with_its_reason(small):
    small["grid"] = {
        "slip_base": {
            "bolt_circle": ["360 mm", "230 mm"],
            "washers": {"plate_diameter": ["60 mm", "220 mm"]},
        }
    }
    study = giveway.study(small)
    rows = pa.table(study).to_pylist()
    failed = [row for row in rows if row["failed"]]
    assert 0 < study.failed == len(failed) < 4
    for row in rows:
        assert bool(row["reason"]) == row["failed"] == (row["velocity_change_mps"] is None)


@pytest.mark.parametrize("torque", ["nan N.m", "200", "", "30 km/h"])
def test_a_value_that_is_none_is_a_problem_of_the_study(small, torque):
    small["grid"] = {"slip_base": {"clamp": {"torque": [torque, "100 N.m"]}}}
    with pytest.raises(giveway.InputError) as caught:
        giveway.study(small)
    assert caught.value.diagnostics[0].code


def test_progress_is_told_and_may_be_a_bar(small):
    seen = []
    giveway.study(small, progress=lambda done, runs: seen.append((done, runs)))
    assert seen[-1] == (24, 24)
    assert seen == sorted(seen)
    with tqdm(total=24, disable=None) as bar:
        giveway.study(small, progress=lambda done, runs: bar.update(done - bar.n))


def test_an_exception_of_the_callback_ends_the_study_and_what_was_done_stays(small, tmp_path):
    small["output"] = {"columns": ["velocity_change_mps", "oiv_longitudinal_mps"]}
    small["grid"]["slip_base"]["clamp"]["torque"]["steps"] = 400

    def enough(done, runs):
        raise KeyError("enough")

    with pytest.raises(KeyError, match="enough"):
        giveway.study(small, out=tmp_path / "study", progress=enough)
    first = []
    giveway.study(small, out=tmp_path / "study", progress=lambda done, runs: first.append(done))
    assert 0 < first[0] <= first[-1] == 1200


def test_the_interpreter_goes_on_while_a_study_computes(small):
    small["grid"]["slip_base"]["clamp"]["torque"]["steps"] = 200
    found = []
    worker = threading.Thread(target=lambda: found.append(giveway.study(small, threads=1)))
    worker.start()
    ticks = 0
    while worker.is_alive():
        worker.join(0.01)
        ticks += 1
    assert found[0].rows == 600
    # A held interpreter would let this thread tick once or twice.
    assert ticks > 20


def test_two_studies_side_by_side_give_their_own_rows(small):
    found = {}
    other = {**small, "grid": {"impact": {"speed": ["40 km/h", "50 km/h"]}}}

    def work(name, plan):
        found[name] = pa.table(giveway.study(plan)).to_pydict()

    threads = [threading.Thread(target=work, args=pair) for pair in (("a", small), ("b", other))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found["a"] == pa.table(giveway.study(small)).to_pydict()
    assert found["b"] == pa.table(giveway.study(other)).to_pydict()


def test_a_plan_is_read_without_computing(small):
    started = time.perf_counter()
    plan = giveway.plan(small)
    assert plan.runs == 24 and len(plan.hash) == 64 and plan.model_version == giveway.model_version
    assert "velocity_change_mps" in plan.columns
    assert time.perf_counter() - started < 2
