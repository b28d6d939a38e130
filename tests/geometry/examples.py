"""Printed and constructed check values, by file and name of the example; `check_examples` holds each of them too."""

import tomllib
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "worked_examples" / "geometry"


def examples(name: str) -> dict[str, Any]:
    """The examples of one file, by their names; what stands outside of an example keeps its own."""
    content = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    return {**content, **{one["id"]: one for one in content["example"]}}
