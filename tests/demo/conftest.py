"""The demo played once for the session and put back for a module; the tests of a module only read it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from compaction.demo import site
from compaction.demo.scenario import Scenario, build
from compaction.management.demo_player import Player
from compaction.queries import set_up
from compaction.queries.rows import failure_rows, test_rows
from compaction.register import FailureRow, TestRow
from projects.access import Open
from projects.models import User
from tests.kept_rows import KeptRows

TODAY = date(2026, 6, 10)


@dataclass(frozen=True)
class Loaded:
    scenario: Scenario
    player: Player
    opened: Open
    tests: dict[str, TestRow]
    failures: dict[str, FailureRow]  # by the failing test

    def story(self, name: str) -> TestRow:
        """The test of a story, as it stands at the end."""
        [test] = self.scenario.stories[name]
        return self.tests[str(test.id)]

    def failure(self, name: str) -> FailureRow:
        """The failure of a story's test."""
        return self.failures[self.story(name).uuid]

    def retests(self, name: str) -> list[TestRow]:
        """Every later test of a story's chain, in time."""
        chain = [self.story(name).uuid]
        found: list[TestRow] = []
        for row in sorted(self.tests.values(), key=lambda row: row.performed_at):
            if row.retest_of in chain:
                chain.append(row.uuid)
                found.append(row)
        return found


def play(scenario: Scenario) -> Player:
    """Every event of a scenario, in order, on a database without the demo."""
    set_up.forget()
    users = {person.username: User.objects.create_user(person.username, password="p") for person in site.PEOPLE}
    player = Player(scenario, users)
    for event in scenario.events:
        player.play(event)
    player.catch_up()
    return player


@pytest.fixture(scope="session")
def scenario() -> Scenario:
    return build(today=TODAY)


@pytest.fixture(scope="session")
def played(scenario: Scenario, django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> tuple[Player, KeptRows]:
    with django_db_blocker.unblock(), transaction.atomic():
        player = play(scenario)
        player.now = scenario.ends_at
        rows = KeptRows.of_now()
        transaction.set_rollback(True)
    return player, rows


@pytest.fixture(scope="module")
def loaded(scenario: Scenario, played: tuple[Player, KeptRows], django_db_blocker: DjangoDbBlocker) -> Iterator[Loaded]:
    player, rows = played
    set_up.forget()
    with django_db_blocker.unblock(), transaction.atomic():
        rows.put_back()
        opened = player.opened(site.ENGINEER)
        yield Loaded(
            scenario,
            player,
            opened,
            {row.uuid: row for row in test_rows(opened, limit=None)},
            {row.root_test: row for row in failure_rows(opened, now=scenario.ends_at)},
        )
        transaction.set_rollback(True)
    set_up.forget()
