"""Studies: rows as the program writes them, for every reader; progress, interruption, threads."""

import json
import subprocess
import threading
import time

import giveway
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.dataset as ds
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


def test_a_folder_may_do_without_csv(small, tmp_path):
    with_csv, bare = tmp_path / "with", tmp_path / "bare"
    giveway.study(small, out=with_csv)
    study = giveway.study(small, out=bare, csv=False)
    assert not (bare / "runs.csv").exists()
    assert (bare / "runs.parquet").read_bytes() == (with_csv / "runs.parquet").read_bytes()
    assert pa.table(study).num_rows == 24
    giveway.merge([bare], tmp_path / "joined", csv=False)
    assert not (tmp_path / "joined" / "runs.csv").exists()
    giveway.study(small, out=bare)
    assert (bare / "runs.csv").read_bytes() == (with_csv / "runs.csv").read_bytes()


def test_parts_that_stay_are_one_table_for_every_reader(small, tmp_path):
    whole = giveway.study(small, out=tmp_path / "whole")
    expected = pq.read_table(tmp_path / "whole" / "runs.parquet")
    parts = [tmp_path / f"part{i}" for i in (1, 2, 3, 4, 5)]
    for i, part in enumerate(parts, 1):
        giveway.study(small, out=part, part=(i, 5), csv=False)
    table = giveway.merge(reversed(parts), tmp_path / "joined", by_part=True)
    told = json.loads((tmp_path / "joined" / "study.json").read_text())
    assert [(part["first"], part["end"], part["rows"]) for part in told["parts"]] == [
        (0, 4, 4), (4, 9, 5), (9, 14, 5), (14, 19, 5), (19, 24, 5),
    ]
    assert told["card"]["plan_hash"] == whole.hash and told["card"]["model_version"] == giveway.model_version
    assert told["rows"] == told["card"]["planned_rows"] == 24 and told["status"] == "complete"
    runs = tmp_path / "joined" / "runs"
    assert pq.read_table(runs).to_pydict() == expected.to_pydict()
    assert ds.dataset(runs).to_table(filter=ds.field("run") == 17)["run_key"] == expected["run_key"].slice(17, 1)
    assert pl.read_parquet(runs / "*.parquet").to_dict(as_series=False) == expected.to_pydict()
    assert pl.scan_parquet(runs).select("velocity_change_mps").collect().height == 24
    assert pd.read_parquet(runs)["velocity_change_mps"].tolist() == expected["velocity_change_mps"].to_pylist()
    assert pa.table(table).to_pydict() == expected.to_pydict()
    # A part twice, one of another plan, and one that was cut short.
    with pytest.raises(giveway.GivewayError, match="another part too"):
        giveway.merge([*parts, parts[0]], tmp_path / "twice", by_part=True)
    giveway.study({**small, "seed": 2, "set": {"vehicle": {"mass": "900 kg"}}}, out=tmp_path / "other", part=(5, 5))
    with pytest.raises(giveway.GivewayError, match="another study"):
        giveway.merge([*parts[:4], tmp_path / "other"], tmp_path / "mixed", by_part=True)
    rest = parts[2] / "runs.parquet"
    rest.write_bytes(rest.read_bytes()[:-1])
    with pytest.raises(giveway.GivewayError, match="changed"):
        giveway.merge(parts, tmp_path / "cut", by_part=True)
    assert not [p.name for p in tmp_path.iterdir() if p.name.strip(".").split(".")[0] in ("twice", "mixed", "cut")]


def test_an_unusual_torque_is_told(small):
    small["grid"] = {"slip_base": {"clamp": {"torque": ["0 N.m", "100 N.m"]}}}
    study = giveway.study(small)
    assert (study.rows, study.failed) == (2, 0)
    assert [(w.code, w.found) for w in study.warnings] == [("T501", "0 N.m")]
    assert giveway.plan(small).warnings[0].code == "T501"


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
