"""One example file, from its text: read, checked for its structure, and every example of it worked."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from compaction.calculations.errors import CalculationError, ReadingError, ReadingsError
from compaction.examples.check import Check, Checked
from compaction.examples.figures import BrokenExample
from compaction.examples.topic import Topic
from compaction.examples.topics import TOPICS

KINDS: Final = ("published", "published-with-error", "inputs-only", "constructed", "table", "dataset")
OBTAINED: Final = ("read", "memory", "constructed")
#: keys that every example may have, whatever its topic; those marked True it must have
COMMON: Final[Mapping[str, bool]] = {
    "id": True,
    "kind": True,
    "source": True,
    "obtained": True,
    "tolerance_reason": True,
    "within": False,
    "findings": False,
    "error": False,
    "inputs": False,
    "printed": False,
    "recomputed": False,
}
_README: Final = "README.md of the folder describes every topic."
_TABLES: Final = ("inputs", "printed", "recomputed", "within")


@dataclass(frozen=True)
class Problem:
    """A file or an example that cannot be read: where, and a sentence with the remedy."""

    where: str
    sentence: str


@dataclass(frozen=True)
class FileReport:
    """What came of one file."""

    name: str
    topic: str
    checked: tuple[Checked, ...]
    problems: tuple[Problem, ...]


def check_text(text: str, *, name: str) -> FileReport:
    """Work every example of a file; what cannot be read is told, and the rest goes on. `name` is told as the place."""
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return _broken(name, f"It is no valid TOML: {error}. Correct that line; the rest of the file was not read.")
    topic = TOPICS.get(str(content.get("topic")))
    if topic is None:
        shown = f"`{content['topic']}` is no topic" if "topic" in content else "`topic` is missing at the top"
        return _broken(name, f"{shown}. Use one of {', '.join(TOPICS)}. {_README}")
    if strangers := sorted(set(content) - {"topic", "example"}):
        return _broken(
            name,
            f"`{strangers[0]}` stands outside of the examples. Put it under an [[example]], or leave it out.",
            topic=topic.code,
            line=_line_of(text, strangers[0]),
        )
    examples = content.get("example")
    if not isinstance(examples, list) or not all(isinstance(one, dict) for one in examples):
        return _broken(name, "It has no [[example]]. Write one, with id, kind and source.", topic=topic.code)
    checked, problems = [], []
    seen: set[str] = set()
    for place, example in enumerate(examples, 1):
        code = str(example.get("id", f"number {place}"))
        try:
            _structure(topic, example)
            if code in seen:
                raise BrokenExample("id", f"{code} stands twice.", "Give each example a name of its own.")
            seen.add(code)
            checked.append(_work(topic, example))
        except BrokenExample as error:
            problems.append(Problem(f"{name}, {_place(text, code, error.key)}", str(error)))
    return FileReport(name, topic.code, tuple(checked), tuple(problems))


def twice(reports: list[FileReport]) -> Iterator[Problem]:
    """Names of examples that stand in two files."""
    known: dict[str, str] = {}
    for report in reports:
        for one in report.checked:
            if known.setdefault(one.id, report.name) != report.name:
                yield Problem(f"{report.name}, {one.id}", f"{known[one.id]} has an example of that name. Rename one.")


def _broken(name: str, sentence: str, *, topic: str = "", line: int = 0) -> FileReport:
    return FileReport(name, topic, (), (Problem(f"{name}, line {line}" if line else name, sentence),))


def _structure(topic: Topic, example: Mapping[str, Any]) -> None:
    known = {**dict.fromkeys(COMMON), **dict.fromkeys(topic.keys)}
    for key, needed in (*COMMON.items(), *((key, True) for key in topic.needs)):
        if needed and key not in example:
            raise BrokenExample(key, "is missing.", f"Every example of `{topic.code}` states it. {_README}")
    for key in example:
        if key not in known:
            raise BrokenExample(key, f"is no key of `{topic.code}`.", f"Use one of {', '.join(known)}.")
    for key, allowed in (("kind", KINDS), ("obtained", OBTAINED)):
        if example[key] not in allowed:
            raise BrokenExample(key, f"{example[key]!r} is not known.", f"Use one of {', '.join(allowed)}.")
    for key in _TABLES:
        if not isinstance(example.get(key, {}), dict):
            raise BrokenExample(key, "is no table.", f"Write it under [example.{key}].")
    for key, names in (("inputs", topic.inputs), ("printed", topic.figures), ("recomputed", topic.figures)):
        for name in example.get(key, {}):
            if name not in names:
                raise BrokenExample(
                    f"{key}.{name}",
                    f"is nothing that `{topic.code}` knows.",
                    f"Use one of {', '.join(names) or 'none'}.",
                )
    if example["kind"] == "published-with-error" and not (example.get("findings") or example.get("error")):
        raise BrokenExample("findings", "is empty.", "A wrong print has to be found: say by which finding or error.")


def _work(topic: Topic, example: Mapping[str, Any]) -> Checked:
    check = Check(example)
    try:
        topic.run(example, check)
    except CalculationError as error:
        check.raised(error)
    except (ReadingError, ReadingsError) as error:
        raise BrokenExample("readings", str(error), "Write them as in a test that is posted.") from error
    except BrokenExample:
        raise
    except KeyError as error:
        raise BrokenExample(
            str(error.args[0]), "is missing.", f"It is needed beside what is given. {_README}"
        ) from error
    except (ValueError, TypeError, ArithmeticError, AttributeError, LookupError) as error:
        raise BrokenExample(
            "example", f"It does not have the shape of `{topic.code}` ({type(error).__name__}: {error}).", _README
        ) from error
    return check.finish()


def _line_of(text: str, key: str, *, start: int = 1) -> int:
    """The line on which a key is written, from a line on; 0 if it is not found."""
    name = key.rpartition(".")[2].partition("[")[0]
    for number, line in enumerate(text.splitlines()[start - 1 :], start):
        written = line.strip()
        if written.startswith(
            (f"{name} =", f"{name}=", f"[{name}", f"[[{name}", f"[example.{name}", f"[[example.{name}")
        ):
            return number
    return 0


def _place(text: str, code: str, key: str) -> str:
    begin = next((n for n, line in enumerate(text.splitlines(), 1) if line.strip() == f'id = "{code}"'), 0)
    line = _line_of(text, key, start=begin) if begin else 0
    return f"line {line or begin}, {code}" if begin else code
