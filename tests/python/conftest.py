"""Places that the tests share."""

import os
from pathlib import Path

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
