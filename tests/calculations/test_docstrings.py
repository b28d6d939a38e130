"""Every public calculation states its source and shows an example that runs; every worksheet step has its formula."""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
from pathlib import Path
from types import ModuleType

import pytest

import compaction.calculations
from compaction.calculations.catalogue import FORMULAS

FOLDER = Path(compaction.calculations.__file__).parent
NAMES = sorted(module.name for module in pkgutil.iter_modules([str(FOLDER)]))


#: how a docstring names the unit of what comes out
UNITS = re.compile(
    r"kg/m3|kg\b|percent|%|\bm3\b|\bmm\b|\bm\b|\bdeg C\b|ratio|points|counts?\b|SI\b|unit|days|minutes", re.IGNORECASE
)


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


@pytest.mark.parametrize("name", NAMES)
def test_each_public_function_says_meaning_unit_validity_and_source_before_its_example(name: str) -> None:
    """There is no list of exceptions: a function that cannot say these things is not public."""
    module = load(name)
    definitions = {
        node.name: node
        for node in ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
    }
    lacking = []
    for function, member in public_functions(module).items():
        said = inspect.cleandoc(member.__doc__ or "").partition(">>>")[0]
        first = said.partition("\n\n")[0]
        if len(first) < 12 or not (first[0].isupper() or first[0] in '"('):
            lacking.append(f"{function}: meaning")
        gives_figure = re.search("Decimal|float", str(inspect.signature(member).return_annotation))  # type: ignore[arg-type]
        if gives_figure and not UNITS.search(said):
            lacking.append(f"{function}: unit")
        if gives_figure and not re.search("Validity|Raises", said):
            lacking.append(f"{function}: validity")
        if raises(definitions[function], definitions) and not re.search("[Rr]aise", said):
            lacking.append(f"{function}: errors")
        if "Source" not in said:
            lacking.append(f"{function}: source")
    assert lacking == []


def raises(function: ast.FunctionDef, definitions: dict[str, ast.FunctionDef], seen: tuple[str, ...] = ()) -> bool:
    """Whether a function raises by itself or through a private one of its module."""
    for node in ast.walk(function):
        if isinstance(node, ast.Raise):
            return True
        called = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
        inward = called.startswith("_") and called in definitions and called not in seen
        if inward and raises(definitions[called], definitions, (*seen, called)):
            return True
    return False


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
