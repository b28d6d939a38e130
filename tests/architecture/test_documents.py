"""README and DEVELOPERS.md say what is there, and the two commands are written once."""

import re
import subprocess
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
README = (PROJECT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")


def settings_read() -> set[str]:
    """Every name that compaction/settings.py asks the environment for."""
    text = (PROJECT / "compaction" / "settings.py").read_text(encoding="utf-8")
    return set(re.findall(r"read\.\w+\(\s*\"([A-Z_]+)\"", text))


def test_every_setting_stands_in_the_readme_and_nothing_else_does() -> None:
    documented = set(re.findall(r"^\| `LIFTLEDGER_([A-Z_]+)`", README, re.MULTILINE))
    assert len(settings_read()) >= 12
    assert settings_read() - documented == set()
    assert documented - settings_read() == set()


def test_every_secret_says_that_it_can_come_from_a_file() -> None:
    text = (PROJECT / "compaction" / "settings.py").read_text(encoding="utf-8")
    for name in re.findall(r"read\.secret\(\s*\"([A-Z_]+)\"", text):
        row = re.search(rf"^\| `LIFTLEDGER_{name}`.*$", README, re.MULTILINE)
        assert row
        assert "`_FILE`" in row[0], name


def test_only_the_settings_module_reads_the_environment() -> None:
    found = [
        str(file.relative_to(PROJECT))
        for room in ("compaction", "projects", "api")
        for file in (PROJECT / room).rglob("*.py")
        if re.search(
            r"\bos\.environ\b(?!\.setdefault\(\"DJANGO_SETTINGS_MODULE)|getenv", file.read_text(encoding="utf-8")
        )
    ]
    assert found == ["compaction/settings_readers.py"]


def test_every_command_is_documented() -> None:
    commands = [
        file.stem
        for file in (PROJECT / "compaction" / "management" / "commands").glob("*.py")
        if file.stem != "__init__"
    ]
    assert [name for name in sorted(commands) if f"`{name}" not in README + DEVELOPERS] == []


def test_the_map_of_rooms_names_every_room() -> None:
    named = []
    for room in ("compaction", "projects", "api"):
        for path in sorted((PROJECT / room).iterdir()):
            if path.name in {"__init__.py", "__pycache__", "migrations", "static"}:
                continue
            named.append(f"{path.name}/" if path.is_dir() else path.name)
    assert [name for name in named if f"{name}" not in DEVELOPERS] == []


def test_the_readme_gives_two_commands_and_ci_takes_the_second_from_it() -> None:
    blocks = re.findall(r"```sh\n(.*?)\n```", README, re.DOTALL)
    assert [block for block in blocks[:2] if "\n" in block] == [], "each of the two is one line"
    assert blocks[0].endswith("manage.py serve")
    assert blocks[1].endswith(".venv/bin/pytest -n 2 --dist worksteal")
    taken = subprocess.run([PROJECT / ".ci" / "run", "--show-test-command"], capture_output=True, text=True, check=True)
    assert taken.stdout.strip() == blocks[1]
