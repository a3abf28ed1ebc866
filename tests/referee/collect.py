"""Run the program on scenario files and lay its results out for the tests.

    python collect.py path/to/giveway folder [scenario.toml ...]

Without scenarios, those of the folder `scenarios` are used, and with them the cases of `found_cases.json`: such a
scenario with something found on site. Then: GIVEWAY_EXPORTS=folder pytest.
"""

import csv
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile


def record(run):
    """The vehicle's record and what the program made of it, in the form that the tests read."""
    with open(run / "vehicle_record.csv", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    occupant = json.loads((run / "summary.json").read_text(encoding="utf-8"))["occupant"]
    names = [f"acceleration_{axis}_mps2" for axis in "xyz"]
    out = {"interval_s": float(rows[0]["time_s"]),
           "acceleration_mps2": [[float(row[name]) for name in names] for row in rows],
           "asi": occupant["asi_50ms_mean"]["asi"], "oiv_time_s": occupant["flail"]["contact_time_s"]}
    if occupant["flail"]["basis"] == "flail-space":
        out["oiv_x_mps"] = occupant["flail"]["oiv_longitudinal_mps"]
    return out


def found_cases():
    """Cases with something found on site: scenario `of`, settings `set`, the referee's `options`, wider `bands`."""
    return json.loads((pathlib.Path(__file__).parent / "found_cases.json").read_text(encoding="utf-8"))


def export(program, scenario, *more):
    """What `giveway export` prints."""
    return subprocess.run([program, "export", scenario, *more], check=True, capture_output=True, text=True).stdout


def collect(program, folder, scenario, name=None, settings=()):
    """Export, run, copy. A case with settings is there for the planar referee alone: no flight, no record."""
    name = name or scenario.stem
    changes = [word for setting in settings for word in ("--set", setting)]
    (folder / f"{name}.scenario.json").write_text(export(program, scenario, *changes), encoding="utf-8")
    with tempfile.TemporaryDirectory() as temporary:
        run = pathlib.Path(temporary) / name
        subprocess.run([program, "run", scenario, *changes, "--out", run, "--no-figures", "--no-counterfactuals", "--quiet"],
                       check=True)
        shutil.copy(run / "summary.json", folder / f"{name}.summary.json")
        if not settings:
            (folder / f"{name}.flight.json").write_text(export(program, scenario, "--flight"), encoding="utf-8")
            (folder / f"{name}.record.json").write_text(json.dumps(record(run)), encoding="utf-8")
    print(name)


def main():
    """Command line."""
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    program, folder = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    here = pathlib.Path(__file__).parent / "scenarios"
    for scenario in sys.argv[3:] or sorted(here.glob("*.toml")):
        collect(program, folder, pathlib.Path(scenario))
    if not sys.argv[3:]:
        for name, case in found_cases().items():
            collect(program, folder, here / f"{case['of']}.toml", name, case["set"])


if __name__ == "__main__":
    main()
