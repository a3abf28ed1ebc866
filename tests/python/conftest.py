"""Places that the tests share."""

import os
import socket
import subprocess
import sys
import time
from pathlib import Path

import fsspec
import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def scenarios() -> Path:
    return ROOT / "scenarios"


@pytest.fixture(scope="session")
def program() -> str:
    """The program of the same build, to compare with."""
    return os.environ.get("GIVEWAY", str(ROOT / "target" / "debug" / "giveway"))


@pytest.fixture
def small(scenarios) -> dict:
    """24 engagements in some tenths of a second."""
    return {
        "title": "small",
        "base": str(scenarios / "first.toml"),
        "output": {"columns": ["velocity_change_mps", "ending"]},
        "grid": {
            "slip_base": {"clamp": {"torque": {"from": "50 N.m", "to": "400 N.m", "steps": 8}}},
            "impact": {"speed": ["30 km/h", "60 km/h", "100 km/h"]},
        },
    }


@pytest.fixture
def memory():
    store = fsspec.filesystem("memory")
    yield store
    store.rm("/", recursive=True)


@pytest.fixture(scope="session")
def server():
    """A server of the S3 interface on the loopback interface, and the settings by which fsspec finds it."""
    pytest.importorskip("moto.server", reason="no server of the S3 interface is installed")
    pytest.importorskip("s3fs", reason="fsspec's S3 file system is not installed")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "moto.server", "-H", "127.0.0.1", "-p", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    settings = {"endpoint_url": f"http://127.0.0.1:{port}", "key": "nobody", "secret": "nothing"}
    before = dict(fsspec.config.conf)
    try:
        until = time.monotonic() + 30
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                assert process.poll() is None and time.monotonic() < until
                time.sleep(0.1)
        fsspec.config.conf["s3"] = settings
        store = fsspec.filesystem("s3")
        store.mkdir("harrow-vale")
        yield store
    finally:
        fsspec.config.conf.clear()
        fsspec.config.conf.update(before)
        process.terminate()
        process.wait(timeout=10)
