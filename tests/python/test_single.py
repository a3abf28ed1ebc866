"""One scenario: values as the program gives them, errors as data."""

import json
import math
import pickle
import subprocess

import giveway
import pytest


def spoken(program, *arguments):
    """What the program prints as JSON."""
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, check=False)
    return json.loads(done.stdout)


@pytest.mark.parametrize("name", ["first.toml", "conditions/grouted.toml"])
def test_a_summary_has_the_programs_bits(name, scenarios, program, tmp_path):
    file = scenarios / name
    line = spoken(program, "run", file, "--out", tmp_path / "run", "--no-figures", "--format", "json")
    # Equal floats of shortest text are equal bits.
    assert giveway.run(file).summary == line["summary"]


def test_text_dictionary_and_path_are_one(scenarios):
    import tomllib

    file = scenarios / "first.toml"
    text = file.read_text()
    summaries = [giveway.run(given, base=scenarios).summary for given in (file, text, tomllib.loads(text))]
    assert summaries[0] == summaries[1] == summaries[2]


def test_changes_are_those_of_the_command_line(scenarios):
    tight = giveway.run(scenarios / "first.toml", {"slip_base.clamp.torque": "300 N.m"})
    assert tight.summary != giveway.run(scenarios / "first.toml").summary
    assert "300 N.m" in giveway.read(scenarios / "first.toml", {"slip_base.clamp.torque": "300 N.m"}).text


def test_a_run_shows_its_picture(scenarios):
    page = giveway.run(scenarios / "first.toml")._repr_html_()
    assert page.startswith("<figure") and "<svg" in page and "</svg>" in page and "<script" not in page


def test_problems_come_with_code_line_column_and_advice(scenarios):
    text = (scenarios / "first.toml").read_text() + "\n[nonsense]\nx = 1\n"
    with pytest.raises(giveway.InputError) as caught:
        giveway.read(text)
    first = caught.value.diagnostics[0]
    lines = text.splitlines()
    assert first.code.startswith("S") and lines[first.line - 1] == "[nonsense]" and first.column >= 1
    wrong = text.replace("\n[nonsense]\nx = 1\n", "").replace('speed = "30 km/h"', "speed = 30")
    with pytest.raises(giveway.InputError) as caught:
        giveway.read(wrong)
    assert any(d.advice for d in caught.value.diagnostics)
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.diagnostics == caught.value.diagnostics and str(again) == str(caught.value)


@pytest.mark.parametrize("bad", [math.nan, math.inf, 0, -1, "", "30 parsecs", None])
def test_a_number_that_is_none_is_a_problem_and_no_crash(bad, scenarios):
    with pytest.raises(giveway.GivewayError):
        giveway.run(scenarios / "first.toml", {"impact.speed": bad})


def test_what_is_no_scenario_is_said(tmp_path):
    empty = tmp_path / "empty.toml"
    empty.write_bytes(b"")
    with pytest.raises(giveway.InputError):
        giveway.run(empty)
    with pytest.raises(giveway.FileError):
        giveway.run(tmp_path / "none.toml")
    with pytest.raises(giveway.FileError):
        giveway.run(tmp_path)
    bytes_ = tmp_path / "bytes.toml"
    bytes_.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(giveway.FileError):
        giveway.run(bytes_)
    with pytest.raises(giveway.InputError):
        giveway.run({"impact": {"speed": math.nan}})
    with pytest.raises(giveway.InputError):
        giveway.run({"impact": None})
    with pytest.raises(TypeError):
        giveway.run(7)


def test_a_window_is_the_programs(scenarios, program):
    file = scenarios / "first.toml"
    found = giveway.window(file, vehicles=["small-car-1100"], speeds=["30 km/h"])
    told = spoken(program, "window", file, "--vehicle", "small-car-1100", "--speed", "30 km/h", "--format", "json")
    assert dict(found) == told
    with pytest.raises(giveway.UsageError):
        giveway.window(file, speeds=["0 km/h"])
    found = giveway.window(file, offsets=["-200 mm"], documents=["nchrp-350"], criteria="velocity")
    told = spoken(
        program, "window", file, "--offset", "-200 mm", "--document", "nchrp-350", "--criteria", "velocity", "--format", "json"
    )
    assert dict(found) == told
    assert [row["name"] for row in found["table"]][4] == "3-60 low speed, 200 mm right of the centre"
    # What the impacts bring along themselves is not passed over.
    with pytest.raises(giveway.UsageError, match="--offset"):
        giveway.window(file, {"impact.offset": "300 mm"})


def test_an_inspection_is_the_programs(scenarios, program):
    file = scenarios / "site" / "records" / "HV-0102.toml"
    assert giveway.inspect(file).result == spoken(program, "inspect", file, "--format", "json")


def test_a_record_is_the_programs(scenarios, program, tmp_path):
    import pandas as pd

    file = scenarios / "laboratory" / "record_7.toml"
    subprocess.run([program, "record", file, "--out", tmp_path / "record", "--quiet"], check=True)
    record = giveway.record(file)
    assert record.summary == json.loads((tmp_path / "record" / "summary.json").read_text())
    table = pd.DataFrame.from_arrow(record.table)
    written = pd.read_parquet(tmp_path / "record" / "history.parquet")
    assert table["velocity_change_mps"].tolist() == written["velocity_change_mps"].tolist()
