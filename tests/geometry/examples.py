"""Printed and constructed check values, by file and table."""

import tomllib
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "worked_examples" / "geometry"


def examples(name: str) -> dict[str, Any]:
    with (FOLDER / f"{name}.toml").open("rb") as file:
        return tomllib.load(file)


def degrees(dms: list[float]) -> float:
    return dms[0] + dms[1] / 60 + dms[2] / 3600
