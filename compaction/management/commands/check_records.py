"""Check a project's records: the journal's chain, and every current outcome derived again from what was written."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from compaction.actions import reassessment
from projects import journal
from projects.models import Project


class Command(BaseCommand):
    help = "Walk the journal's chain and derive every current outcome again; list what does not agree."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("projects", nargs="*", help="codes; without any, every project")

    def handle(self, *args: Any, **options: Any) -> None:
        chosen = Project.objects.filter(code__in=options["projects"]) if options["projects"] else Project.objects.all()
        unknown = set(options["projects"]) - {project.code for project in chosen}
        if unknown:
            raise CommandError(f"There is no project {', '.join(sorted(unknown))}.")
        wrong = 0
        for project in chosen:
            breaks = journal.verify(project)
            differences = reassessment.rebuild_check(project)
            for item in breaks:
                self.stdout.write(f"{project.code}: journal event {item.seq}: {item.what}")
            for difference in differences:
                self.stdout.write(
                    f"{project.code}: {difference.kind} {difference.test}: stored {difference.stored[:12]}, "
                    f"derived again {difference.rebuilt[:12]}"
                )
            wrong += len(breaks) + len(differences)
            self.stdout.write(
                f"{project.code}: {project.journal_events.count()} events, {project.tests.count()} tests, "
                f"{len(breaks)} breaks in the journal, {len(differences)} outcomes that differ"
            )
        if wrong:
            raise CommandError(f"{wrong} disagreements; keep the database as it is and find out why.")
