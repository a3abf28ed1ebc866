"""A study as an array of batch jobs, of which one is cancelled: the bytes are those of one process.

Starts munged, slurmctld and slurmd of Debian's package `slurm-wlm` on the loopback interface, in a folder of its own, and ends them.
"""

import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import giveway
import pytest
import tomli_w

PROGRAMS = ("munged", "slurmctld", "slurmd", "sbatch", "squeue", "scancel", "sinfo")
SETTINGS = """
ClusterName=loopback
SlurmctldHost={name}(127.0.0.1)
SlurmctldPort={ports[0]}
SlurmdPort={ports[1]}
AuthType=auth/munge
AuthInfo=socket={folder}/munge/socket
CredType=cred/munge
SlurmUser=root
SlurmdUser=root
StateSaveLocation={folder}/state
SlurmdSpoolDir={folder}/spool
SlurmctldPidFile={folder}/slurmctld.pid
SlurmdPidFile={folder}/slurmd.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SwitchType=switch/none
MpiDefault=none
SchedulerType=sched/builtin
SelectType=select/cons_tres
NodeName={name} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=here Nodes=ALL Default=YES MaxTime=10 State=UP
"""


def free_ports(count):
    taken = [socket.socket() for _ in range(count)]
    for s in taken:
        s.bind(("127.0.0.1", 0))
    ports = [s.getsockname()[1] for s in taken]
    for s in taken:
        s.close()
    return ports


def until(wanted, seconds):
    """The first true answer within some seconds, or none."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if found := wanted():
            return found
        time.sleep(0.1)
    return None


@pytest.fixture(scope="module")
def slurm():
    """Runs a command on a cluster of this machine alone."""
    missing = [p for p in PROGRAMS if shutil.which(p) is None]
    if missing or os.geteuid() != 0:
        pytest.skip(f"no cluster of batch jobs: {', '.join(missing) or 'not the superuser'}")
    folder = Path(tempfile.mkdtemp(prefix="giveway-slurm-"))
    folder.chmod(0o755)
    for part in ("state", "spool", "munge"):
        (folder / part).mkdir(mode=0o755)
    key = folder / "munge" / "key"
    key.write_bytes(os.urandom(256))
    key.chmod(0o400)
    user = pwd.getpwnam("munge")
    for path in (key, folder / "munge"):
        os.chown(path, user.pw_uid, user.pw_gid)
    name = socket.gethostname().split(".")[0]
    settings = folder / "slurm.conf"
    settings.write_text(SETTINGS.format(name=name, ports=free_ports(2), folder=folder))
    env = {**os.environ, "SLURM_CONF": str(settings)}
    started = []

    def start(*command, **how):
        log = open(folder / f"{command[0]}.log", "wb")
        started.append(subprocess.Popen(command, stdout=log, stderr=log, env=env, start_new_session=True, **how))

    def run(*command, cwd=None):
        return subprocess.run(command, env=env, cwd=cwd, capture_output=True, text=True, timeout=120)

    munge = [f"--{k}={folder}/munge/{v}" for k, v in (("key-file", "key"), ("socket", "socket"), ("pid-file", "pid"), ("seed-file", "seed"))]
    try:
        start("munged", "--foreground", "--force", *munge, user=user.pw_uid, group=user.pw_gid)
        until((folder / "munge" / "socket").exists, 10)
        start("slurmctld", "-D")
        start("slurmd", "-D", "-N", name)
        if not until(lambda: run("sinfo", "-h", "-o", "%T").stdout.strip() == "idle", 30):
            logs = "".join((folder / f"{p}.log").read_text(errors="replace")[-400:] for p in ("munged", "slurmctld", "slurmd"))
            pytest.skip(f"a cluster cannot be started here: {logs}")
        yield run
    finally:
        for process in reversed(started):
            for sent in (signal.SIGTERM, signal.SIGKILL):
                try:
                    os.killpg(process.pid, sent)
                    process.wait(timeout=10)
                    break
                except (ProcessLookupError, subprocess.TimeoutExpired):
                    pass
        shutil.rmtree(folder, ignore_errors=True)


def test_an_array_whose_job_is_cancelled_leaves_no_trace(slurm, scenarios, tmp_path):
    study = {
        "title": "array",
        "base": str(scenarios / "first.toml"),
        "output": {"columns": ["velocity_change_mps", "ending"]},
        "sample": {"method": "sobol", "count": 9000, "standard": ["nut-factor"]},
    }
    giveway.study(study, out=tmp_path / "whole")
    (tmp_path / "study.toml").write_text(tomli_w.dumps(study))
    # As docs/cluster.md has it.
    parts = (sys.executable, "-m", "giveway.parts")
    command = f"{sys.executable} -m giveway.parts compute job.json $SLURM_ARRAY_TASK_ID"

    def ran(*what):
        done = slurm(*parts, *what, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def submit(array, *how):
        return slurm("sbatch", "--parsable", "--output", "told-%a", f"--array={array}", *how, "--wrap", command, cwd=tmp_path)

    assert ran("prepare", "study.toml", "large", "3").startswith("9000 runs in 3 parts")
    sent = submit("1-3")
    assert sent.returncode == 0, sent.stderr
    number = sent.stdout.strip()
    running = until(lambda: "RUNNING" in slurm("squeue", "-h", "-j", f"{number}_2", "-o", "%T").stdout, 30)
    assert running, "the second job never ran"
    time.sleep(0.3)
    slurm("scancel", "--signal=KILL", "--full", f"{number}_2")
    assert until(lambda: not slurm("squeue", "-h", "-j", number).stdout.strip(), 90), "the array has not ended"

    assert "CANCELLED" in (state := slurm("scontrol", "show", "job", f"{number}_2").stdout) or "FAILED" in state, state

    # What is done is known; what was cancelled is submitted again.
    missing = ran("missing", "job.json")
    assert missing == "2"
    again = submit(missing, "--wait")
    told = "".join(p.read_text() for p in tmp_path.glob("told-*"))
    assert again.returncode == 0, again.stderr + told
    assert ran("missing", "job.json") == ""
    assert ran("finish", "job.json") == str(tmp_path / "large")
    for file in ("runs.parquet", "runs.csv", "study.json"):
        assert (tmp_path / "large" / file).read_bytes() == (tmp_path / "whole" / file).read_bytes(), file
