"""Reads the closed table of a study with other programs: pandas with pyarrow, polars, DuckDB.

    pip install -r tests/referee/study_files_requirements.txt
    python tests/referee/study_files_check.py folder

Judged: every reader sees the same names, rows and values, bit for bit, in `runs.parquet` and `runs.csv`; the table is
sorted by `run` and fits `study.json` (rows, failed, gaps, status); every column of numbers says its
unit at the end of its name or is a ratio by name; each column's meaning stands in the Parquet metadata.
Exit code 0 if all of it holds.
"""

import json
import math
import sys
from pathlib import Path

import duckdb
import pandas
import polars
import pyarrow.parquet

# Ends of names that say a unit, and words of numbers without one.
UNITS = (
    "_m _mm _s _mps _mps2 _kmph _n _nm _ns _j _rad _deg _radps _kg _kgm2 _hz _g _pa _npm".split()
)
BARE = ("fraction", "ratio", "factor", "coefficient", "asi", "load", "margin", "share", "probability")


def same(a, b):
    """Equal values; absent equals absent."""
    absent = [x is None or x is pandas.NA or (isinstance(x, float) and math.isnan(x)) for x in (a, b)]
    return all(absent) or (not any(absent) and a == b)


def check(folder):
    """Problems found in the folder of a closed study."""
    problems = []
    study = json.loads((folder / "study.json").read_text())
    parquet = folder / "runs.parquet"
    csv = folder / "runs.csv"
    names = ["run", "run_key", "model_version", "failed"] + [c["name"] for c in study["card"]["columns"]]
    kinds = ["count", "text", "count", "flag"] + [c["kind"] for c in study["card"]["columns"]]

    for column in study["card"]["columns"]:
        name = column["name"]
        if column["kind"] == "number" and not name.endswith(tuple(UNITS)) and not any(b in name for b in BARE):
            problems.append(f"{name}: a number without a unit in its name")

    table = pyarrow.parquet.read_table(parquet)
    metadata = pyarrow.parquet.read_metadata(parquet).metadata
    for column in study["card"]["columns"]:
        if metadata.get(column["name"].encode(), b"").decode() != column["meaning"]:
            problems.append(f"{column['name']}: its meaning is not in the metadata")
    truth = table.to_pydict()

    readers = {
        "pandas": pandas.read_parquet(parquet, dtype_backend="pyarrow").to_dict("list"),
        "polars": polars.read_parquet(parquet).to_dict(as_series=False),
        "duckdb": duckdb.sql(f"select * from '{parquet}'").to_arrow_table().to_pydict(),
        "pandas csv": pandas.read_csv(
            csv,
            dtype={
                n: {"count": "Int64", "text": "string", "flag": "boolean", "number": "float64"}[k]
                for n, k in zip(names, kinds)
            },
        ).to_dict("list"),
        "polars csv": polars.read_csv(
            csv,
            schema_overrides={
                n: {
                    "count": polars.Int64,
                    "text": polars.String,
                    "flag": polars.Boolean,
                    "number": polars.Float64,
                }[k]
                for n, k in zip(names, kinds)
            },
        ).to_dict(as_series=False),
    }
    for reader, columns in readers.items():
        if list(columns) != names:
            problems.append(f"{reader}: names {list(columns)}")
            continue
        for name, kind in zip(names, kinds):
            if kind == "text" and reader.endswith("csv"):
                # A text that a spreadsheet would take for a formula begins with a blank in the CSV.
                expected = [
                    " " + t if t is not None and t[:1] in ("=", "+", "-", "@") else t for t in truth[name]
                ]
                expected = [None if t == "" else t for t in expected]
            else:
                expected = truth[name]
            if len(expected) != len(columns[name]):
                problems.append(f"{reader}: {name} has {len(columns[name])} rows instead of {len(expected)}")
                continue
            for row, (a, b) in enumerate(zip(expected, columns[name])):
                if not same(a, b):
                    problems.append(f"{reader}: {name}, row {row}: {b!r} instead of {a!r}")
                    break

    runs = truth["run"]
    if runs != sorted(set(runs)):
        problems.append("the runs do not ascend")
    if len(runs) != study["rows"] or sum(truth["failed"]) != study["failed"]:
        problems.append("rows or failed rows differ from study.json")
    missing = set(range(study["card"]["first"], study["card"]["end"])) - set(runs)
    if missing != {i for g in study["gaps"] for i in range(g["first"], g["end"])}:
        problems.append("the gaps differ from study.json")
    if (study["status"] == "complete") != (not missing):
        problems.append("the status differs from the gaps")
    # A question as a user would ask it.
    count = duckdb.sql(f"select count(*) from '{parquet}' where not failed").fetchall()[0][0]
    if count != study["rows"] - study["failed"]:
        problems.append("DuckDB counts other rows")
    return problems


if __name__ == "__main__":
    found = check(Path(sys.argv[1]))
    print("\n".join(found) or f"{sys.argv[1]}: read alike by pandas, pyarrow, polars and DuckDB")
    sys.exit(bool(found))
