"""The shipped example files, as text and as content."""

import tomllib
from pathlib import Path
from typing import Any

from compaction.examples.files import FileReport, check_text

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "worked_examples"
PATHS = sorted(FOLDER.rglob("*.toml"))


def reports() -> list[FileReport]:
    return [check_text(path.read_text(encoding="utf-8"), name=path.name) for path in PATHS]


def contents() -> list[dict[str, Any]]:
    return [tomllib.loads(path.read_text(encoding="utf-8")) for path in PATHS]


def examples(topic: str) -> list[dict[str, Any]]:
    """The examples of one topic, over all files."""
    return [example for content in contents() if content["topic"] == topic for example in content["example"]]
