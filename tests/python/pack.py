"""Packs a wheel from the extension module that the workspace's own build has made.

`maturin build` would compile the workspace's crates once more, with the features of one crate. This packs what the tests
were built with. Its metadata are those of pyproject.toml; the wheel is for this machine's tests and is not handed out.
"""

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

here = Path(__file__).resolve().parents[2] / "crates" / "python"
library, out = Path(sys.argv[1]), Path(sys.argv[2])
project = tomllib.loads((here / "pyproject.toml").read_text())["project"]
shutil.rmtree(out, ignore_errors=True)
tree = out / "tree"
shutil.copytree(here / "python", tree, ignore=shutil.ignore_patterns("__pycache__"))
shutil.copy(library, tree / "giveway" / "_giveway.abi3.so")
info = tree / f"giveway-{project['version']}.dist-info"
info.mkdir()
info.joinpath("METADATA").write_text(
    "Metadata-Version: 2.1\n"
    f"Name: {project['name']}\nVersion: {project['version']}\nSummary: {project['description']}\n"
    f"Requires-Python: {project['requires-python']}\n"
    + "".join(f"Requires-Dist: {need}\n" for need in project["dependencies"])
)
info.joinpath("WHEEL").write_text(
    "Wheel-Version: 1.0\nGenerator: pack\nRoot-Is-Purelib: false\nTag: cp310-abi3-linux_x86_64\n"
)
subprocess.run([sys.executable, "-m", "wheel", "pack", "--dest-dir", out, tree], check=True, stdout=subprocess.DEVNULL)
