"""Who may import whom, and what a pure module may load."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
PURE = [
    "compaction/calculations",
    "compaction/chain.py",
    "compaction/evaluation.py",
    "compaction/facts.py",
    "compaction/observation.py",
    "compaction/register.py",
    "projects/canonical.py",
    "projects/geometry",
]
OURS = {"compaction", "projects"}
NUMERICAL = {"numpy", "scipy", "pyproj"}
BROUGHT_BY_NUMERICAL = {"_distutils_hack", "certifi", "cython_runtime", "_cython_3_0_11", "_cython_3_1_4", "threadpoolctl"}

# Imports each module in turn in one fresh process and tells which top-level names came in with it.
PROBE = """
import importlib, json, sys
seen, found = set(sys.modules), {}
for name in json.loads(sys.argv[1]):
    importlib.import_module(name)
    found[name] = sorted({loaded.partition(".")[0] for loaded in set(sys.modules) - seen})
    seen = set(sys.modules)
print(json.dumps(found))
"""


def pure_modules() -> list[str]:
    found: list[str] = []
    for place in PURE:
        path = PROJECT / place
        files = sorted(path.rglob("*.py")) if path.is_dir() else [path] if path.exists() else []
        found += [".".join(file.relative_to(PROJECT).with_suffix("").parts).removesuffix(".__init__") for file in files]
    return found


def test_pure_modules_load_only_our_own_the_standard_library_and_numerics() -> None:
    """In a fresh process: import-linter does not see what a package's `__init__` drags in."""
    modules = pure_modules()
    assert len(modules) >= 10
    ran = subprocess.run(
        [sys.executable, "-c", PROBE, json.dumps(modules)], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    allowed = set(sys.stdlib_module_names) | OURS | NUMERICAL | BROUGHT_BY_NUMERICAL
    strangers = {
        name: [top for top in loaded if top not in allowed and not top.startswith(("_cython_", "__"))]
        for name, loaded in json.loads(ran.stdout).items()
    }
    assert {name: tops for name, tops in strangers.items() if tops} == {}


def test_import_contracts_hold() -> None:
    ran = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout
    assert " 0 broken" in ran.stdout


def test_the_layers_are_exhaustive_so_that_a_new_module_needs_a_place() -> None:
    contracts = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    layers = {contract["containers"][0]: contract for contract in contracts if contract["type"] == "layers"}
    assert set(layers) == {"compaction", "projects", "api"}
    assert all(contract["exhaustive"] for contract in layers.values())
