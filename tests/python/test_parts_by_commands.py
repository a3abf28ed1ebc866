"""The commands for batch jobs (`python -m giveway.parts`), as docs/cluster.md has them."""

import subprocess
import sys

import giveway
import giveway.parts
import pytest
import tomli_w


@pytest.fixture
def ran(tmp_path, small):
    (tmp_path / "study.toml").write_text(tomli_w.dumps(small))

    def run(*given):
        command = [sys.executable, "-m", "giveway.parts", *map(str, given)]
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=60)
        return done.returncode, done.stdout.strip(), done.stderr.strip()

    return run


def test_from_a_study_file_to_the_table(ran, small, tmp_path):
    code, told, _ = ran("prepare", "study.toml", "large", 5, "--no-csv", "--set", "impact.offset=100 mm")
    assert code == 0 and told.startswith("24 runs in 5 parts; plan ") and told.endswith("job.json")
    assert ran("missing", "job.json") == (0, "1-5", "")
    for part in (2, 4):
        assert ran("compute", "job.json", part)[0] == 0
    assert ran("missing", "job.json") == (0, "1,3,5", "")
    code, _, said = ran("finish", "job.json")
    assert code == 2 and "3 parts are not there yet: part-1, part-3, part-5" in said
    for part in (1, 3, 5, 5):
        assert ran("compute", "job.json", part)[0] == 0
    # A second time too.
    for _ in range(2):
        assert ran("finish", "job.json") == (0, str(tmp_path / "large"), "")
    assert ran("missing", "job.json") == (0, "", "")
    giveway.study(small, {"impact.offset": "100 mm"}, out=tmp_path / "whole", csv=False)
    for name in ("runs.parquet", "study.json"):
        assert (tmp_path / "large" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes()
    assert not (tmp_path / "large" / "runs.csv").exists()


def test_what_is_wrong_is_told_and_ends_as_the_program_does(ran, tmp_path):
    assert ran("prepare", "study.toml", "large", 2)[0] == 0
    kept = (tmp_path / "job.json").read_bytes()
    # The same again, and another one under that name.
    assert ran("prepare", "study.toml", "large", 2)[0] == 0
    code, _, said = ran("prepare", "study.toml", "large", 3)
    assert code == 2 and "`job.json` holds something else" in said and (tmp_path / "job.json").read_bytes() == kept
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.json", "study.toml"]
    for given, expected, words in (
        (("prepare", "study.toml", "large", 25), 2, "24 runs"),
        (("prepare", "nothing.toml", "large", 2), 4, "nothing.toml"),
        (("prepare", "study.toml", "large", 2, "--set", "impact.sped=3"), 3, "impact.sped"),
        (("compute", "job.json", 3), 2, "part 3 of 2"),
        (("compute", "nothing.json", 1), 4, "nothing.json"),
        (("compute", "job.json", "one"), 2, "invalid int"),
    ):
        code, told, said = ran(*given)
        assert (code, told) == (expected, "") and words in said, (given, code, said)
        assert "Traceback" not in said


@pytest.mark.parametrize("parts, told", [([], ""), ([7], "7"), ([1, 2, 3, 5, 8, 9], "1-3,5,8-9")])
def test_numbers_as_schedulers_write_them(parts, told):
    assert giveway.parts.ranges(parts) == told
