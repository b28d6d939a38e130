"""Every public calculation states its source and shows an example that runs; every worksheet step has its formula."""

import ast
import doctest
import importlib
import inspect
import pkgutil
from pathlib import Path
from types import ModuleType

import pytest

import compaction.calculations
from compaction.calculations.catalogue import FORMULAS

FOLDER = Path(compaction.calculations.__file__).parent
NAMES = sorted(module.name for module in pkgutil.iter_modules([str(FOLDER)]))


def load(name: str) -> ModuleType:
    return importlib.import_module(f"compaction.calculations.{name}")


def public_functions(module: ModuleType) -> dict[str, object]:
    return {
        name: member
        for name, member in vars(module).items()
        if inspect.isfunction(member) and member.__module__ == module.__name__ and not name.startswith("_")
    }


@pytest.mark.parametrize("name", NAMES)
def test_the_examples_in_docstrings_hold(name: str) -> None:
    assert doctest.testmod(load(name)).failed == 0


@pytest.mark.parametrize("name", NAMES)
def test_each_public_function_names_its_source(name: str) -> None:
    without = [
        function for function, member in public_functions(load(name)).items() if "Source" not in (member.__doc__ or "")
    ]
    assert without == []


@pytest.mark.parametrize("name", NAMES)
def test_each_public_function_shows_an_example(name: str) -> None:
    functions = public_functions(load(name))
    without = [function for function, member in functions.items() if ">>>" not in (member.__doc__ or "")]
    assert without == []


def step_ids() -> set[str]:
    """First arguments, written as text, of every call of a worksheet's add, in calculations and evaluation."""
    found = set()
    for path in [*FOLDER.glob("*.py"), *(FOLDER.parent / "evaluation").glob("*.py")]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in {"add", "add_named"}
                and any(keyword.arg == "result_name" for keyword in node.keywords)
                and node.args
                and isinstance(node.args[0], ast.Constant)
            ):
                found.add(node.args[0].value)
    return found


def test_each_step_has_its_formula_in_the_catalogue() -> None:
    found = step_ids()
    assert len(found) > 25, "the search for steps finds too few of them"
    assert sorted(found - FORMULAS.keys()) == []


def test_each_formula_names_a_source() -> None:
    assert [formula.id for formula in FORMULAS.values() if len(formula.source) < 8 or not formula.title] == []
    assert all(key == formula.id for key, formula in FORMULAS.items())
