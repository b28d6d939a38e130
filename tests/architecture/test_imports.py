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
    "compaction/coverage",
    "compaction/demo",
    "compaction/evaluation",
    "compaction/examples",
    "compaction/facts.py",
    "compaction/frequency_rules.py",
    "compaction/instrument_facts.py",
    "compaction/observation",
    "compaction/records",
    "compaction/register.py",
    "projects/canonical.py",
    "projects/geometry",
]
NUMERICAL = {"numpy", "numpy.libs", "scipy", "scipy.libs", "pyproj", "pyproj.libs", "geopy", "geographiclib"}
# pyproj, numpy and geopy look for them and load them if they are there; none of ours calls them.
BROUGHT_BY_NUMERICAL = {"certifi", "charset_normalizer", "idna", "requests", "urllib3"}

# Imports each module in turn in one fresh process and tells which installed packages came in with it: by the
# folder a module was loaded from, since compiled modules register themselves under names of their own.
PROBE = """
import importlib, json, pathlib, sys, sysconfig
installed = pathlib.Path(sysconfig.get_path("purelib"))
def packages():
    files = [pathlib.Path(m.__file__) for m in list(sys.modules.values()) if getattr(m, "__file__", None)]
    return {f.relative_to(installed).parts[0] for f in files if f.is_relative_to(installed)}
seen, found = packages(), {}
for name in json.loads(sys.argv[1]):
    importlib.import_module(name)
    now = packages()
    found[name], seen = sorted(now - seen), now
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
    assert len(modules) >= 40
    ran = subprocess.run(
        [sys.executable, "-c", PROBE, json.dumps(modules)], cwd=PROJECT, capture_output=True, text=True, check=True
    )
    allowed = NUMERICAL | BROUGHT_BY_NUMERICAL
    strangers = {name: set(loaded) - allowed for name, loaded in json.loads(ran.stdout).items()}
    assert {name: found for name, found in strangers.items() if found} == {}


def test_the_probe_sees_a_library_that_a_pure_module_would_drag_in() -> None:
    """Without this, a probe that looked in the wrong folder would find nothing, for ever."""
    ran = subprocess.run(
        [sys.executable, "-c", PROBE, json.dumps(["compaction.celery"])],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert {"celery", "kombu"} <= set(json.loads(ran.stdout)["compaction.celery"])


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
    contracts = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    layers = {contract["containers"][0]: contract for contract in contracts if contract["type"] == "layers"}
    assert set(layers) == {"compaction", "projects", "api"}
    assert all(contract["exhaustive"] for contract in layers.values())


def test_every_pure_module_stands_in_the_contract_that_keeps_it_pure() -> None:
    """What the fresh process is asked to load and what import-linter is told must be the same list."""
    contracts = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    pure = next(contract for contract in contracts if contract["id"] == "pure")
    there = {place.removesuffix(".py").replace("/", ".") for place in PURE if (PROJECT / place).exists()}
    assert set(pure["source_modules"]) == there
