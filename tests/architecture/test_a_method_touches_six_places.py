"""What a new test method costs: its module, an entry, a form partial, a worked example, its test, a glossary line.

Shown on the methods that were added after the first three: nothing else in the project knows their codes. Beside the
six stand two that are no writing: the generated API document, and a table of smallest holes where the standard has one.
"""

import re
from pathlib import Path

import pytest

from compaction.calculations.methods import METHODS

PROJECT = Path(__file__).resolve().parents[2]
FIRST_THREE = {"sand_cone", "nuclear_gauge", "transcribed"}
GENERATED = "fixtures/openapi/"
PLACES = {
    "module": r"compaction/calculations/(?!methods)\w+\.py",
    "entry": r"compaction/calculations/methods\.py",
    "partial": r"templates/compaction/readings/_{code}\.html",
    "worked example": r"fixtures/worked_examples/\w+\.toml",
    "test": r"tests/.*\.py",
    "glossary": r"DEVELOPERS\.md",
}


def written_files() -> list[Path]:
    kinds = {".py", ".html", ".js", ".css", ".toml", ".md", ".json"}
    folders = ("compaction", "projects", "api", "templates", "fixtures", "tests")
    found = [file for folder in folders for file in (PROJECT / folder).rglob("*") if file.suffix in kinds]
    return [*found, PROJECT / "DEVELOPERS.md", PROJECT / "README.md"]


def naming(code: str) -> list[str]:
    """Files that name a method's code in text or in their own name."""
    found = []
    for file in written_files():
        place = str(file.relative_to(PROJECT))
        text = file.read_text(encoding="utf-8")
        if re.search(rf"\b{code}\b", text) or re.search(rf"\b_?{code}\b", file.stem):
            found.append(place)
    return found


@pytest.mark.parametrize("code", sorted(set(METHODS) - FIRST_THREE))
def test_a_method_is_known_in_six_places_and_nowhere_else(code: str) -> None:
    patterns = {place: re.compile(pattern.replace("{code}", code)) for place, pattern in PLACES.items()}
    found = [place for place in naming(code) if not place.startswith(GENERATED)]
    assert [name for name in found if not any(pattern.fullmatch(name) for pattern in patterns.values())] == []
    missing = {place for place, pattern in patterns.items() if not any(pattern.fullmatch(name) for name in found)}
    assert missing <= {"glossary"}  # there a method goes by its title
    modules = [name for name in found if patterns["module"].fullmatch(name)]
    assert len(modules) == 1, "the readings and the arithmetic of a method stand in one module"
