"""What may be handed in: a path, text of a file, or a dictionary."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

import tomli_w

from ._errors import FileError, InputError

# A file has some kilobytes; a list of drawn numbers some megabytes.
LARGEST = 16 << 20


def source(given, base=None) -> dict:
    """Text and name of what was given; `base` is the folder that its relative paths start from."""
    if isinstance(given, Mapping):
        try:
            text = tomli_w.dumps(given)
        except (TypeError, ValueError) as problem:
            raise InputError(f"the dictionary is no TOML: {problem}") from None
        return {"text": text, "name": named("dictionary", base)}
    if isinstance(given, str) and "\n" in given:
        return {"text": given, "name": named("text", base)}
    if not isinstance(given, (str, os.PathLike)):
        kind = type(given).__name__
        raise TypeError(f"give a path, the text of a file (several lines) or a dictionary, not {kind}")
    path = Path(given)
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as problem:
        raise FileError(f"{path}: cannot be read: {problem.strerror}") from None
    if len(content) > LARGEST:
        raise FileError(f"{path}: is larger than {LARGEST >> 20} MiB, so this is some other file")
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as problem:
        raise FileError(f"{path}: is not UTF-8 text ({problem})") from None
    return {"text": text, "name": named(path.name, base) if base is not None else str(path)}


def named(name: str, base) -> str:
    return str(Path(base) / name) if base is not None else name


def changes(given) -> list[list[str]]:
    """Changes of keys: a dictionary, or pairs of path and value."""
    pairs: Iterable = given.items() if isinstance(given, Mapping) else (given or ())
    made = []
    for path, value in pairs:
        if isinstance(value, bool):
            value = str(value).lower()
        made.append([str(path), str(value)])
    return made
