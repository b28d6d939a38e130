"""Work every example file of a folder and print what was printed there beside what comes out here."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from compaction.examples import table
from compaction.examples.files import FileReport, Problem, check_text, twice


class Command(BaseCommand):
    help = "Run a folder of worked examples (structure: fixtures/worked_examples/README.md) and print a table."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", help="folder with .toml files; folders below it are read too")

    def handle(self, *args: Any, **options: Any) -> None:
        folder = Path(options["folder"])
        if not folder.is_dir():
            raise CommandError(f"{folder} is no folder. Name the folder that holds the example files.")
        paths = sorted(folder.rglob("*.toml"))
        if not paths:
            raise CommandError(f"{folder} holds no .toml file. README.md beside the shipped examples describes them.")
        reports = [read(path, name=path.relative_to(folder).as_posix()) for path in paths]
        for line in table.text(reports):
            self.stdout.write(line)
        self.stdout.write("")
        problems = [problem for report in reports for problem in report.problems] + list(twice(reports))
        for problem in problems:
            self.stdout.write(f"{problem.where}: {problem.sentence}")
        self.stdout.write(table.summary(reports))
        if problems or table.wrong(reports):
            raise CommandError("Something deviates or could not be read; see above.")


def read(path: Path, *, name: str) -> FileReport:
    """The report of one file; one that is no text is told like any other that cannot be read."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        problem = Problem(name, f"It cannot be read: {error}. Save it as UTF-8 text that this account may read.")
        return FileReport(name, "", (), (problem,))
    return check_text(text, name=name)
