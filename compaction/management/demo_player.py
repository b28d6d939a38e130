"""Play the demo's events through the actions that the API and the pages use, each at its own moment."""

import json
import uuid
from collections.abc import Callable, Mapping
from typing import Any

from compaction import chain
from compaction.actions import (
    amendments,
    apparatus,
    certificates,
    coverage,
    failures,
    field_tests,
    gauge_corrections,
    holds,
    locations,
    lots,
    observed_areas,
    place,
    placements,
    references,
    samples,
    specifications,
    standard_counts,
    substitutions,
    sweep,
    voids,
)
from compaction.demo import site
from compaction.demo.events import Event, identity
from compaction.demo.scenario import Scenario
from compaction.queries import coverage as coverage_queries
from compaction.queries import gauge_comparisons
from compaction.queries.chains import failure_uuid
from compaction.queries.lots import lot_story
from compaction.queries.rows import failure_rows
from compaction.records.gauge_corrections import read_correction
from projects import access
from projects.access import Open
from projects.actions import keys, people
from projects.actions import projects as project_actions
from projects.models import Project, Role, Scope, User

#: what the crews send: it leans on no figure that the sweep works out
SENT_AS_THEY_COME = frozenset(
    {"test", "amendment", "placement", "observed_area", "count", "certificate", "apparatus", "void_asked"}
)


class Player:
    """The site's people with their accounts and phones. The clock is that of the event being played."""

    def __init__(self, scenario: Scenario, users: Mapping[str, User]) -> None:
        self.scenario = scenario
        self.users = users
        self.now = scenario.begins_at
        self.phones: dict[str, str] = {}
        self.project = self._project()
        self._actions: dict[str, Callable[[Event], object]] = {
            "alignment": self._alignment,
            "area": self._area,
            "apparatus": self._apparatus,
            "count": self._count,
            "certificate": self._certificate,
            "sample": self._sample,
            "reference": self._reference,
            "reference_approved": self._reference_approved,
            "specification": self._specification,
            "specification_approved": self._specification_approved,
            "placement": self._placement,
            "test": self._test,
            "amendment": self._amendment,
            "void_asked": self._void_asked,
            "void_confirmed": self._void_confirmed,
            "hold_released": self._hold_released,
            "rework": self._rework,
            "closing": self._closing,
            "gauge_correction": self._gauge_correction,
            "gauge_correction_adopted": self._gauge_correction_adopted,
            "lot": self._lot,
            "lot_closed": self._lot_closed,
            "location_draw": self._location_draw,
            "location_substituted": self._location_substituted,
            "not_tested": self._not_tested,
            "observed_area": self._observed_area,
            "lift_released": self._lift_released,
            "round": self._round,
        }

    def _project(self) -> Project:
        created = project_actions.create(user=self.users[site.ADMINISTRATOR], now=self.now, **site.PROJECT)
        self.project = created
        for person in site.PEOPLE:
            if person.username != site.ADMINISTRATOR:
                people.add_member(
                    opened=self.opened(site.ADMINISTRATOR),
                    user=self.users[person.username],
                    role=person.role,
                    now=self.now,
                )
        for person in site.PEOPLE:
            if person.role == Role.TECHNICIAN:
                self.phones[person.username] = self.key(person.username, f"Phone of {person.first_name}")
        return created

    def key(self, username: str, name: str) -> str:
        """The text of a new device key of a person, issued by the supervisor."""
        return keys.issue(
            opened=self.opened(site.SUPERVISOR),
            owner=self.users[username],
            name=name,
            scopes=[Scope.SUBMIT, Scope.READ_PROJECT],
            now=self.now,
        )[1]

    def opened(self, username: str) -> Open:
        """The project as a person at a page opens it now."""
        return access.open_project(self.users[username], site.CODE, now=self.now)

    def at_the_phone(self, username: str) -> Open:
        """The project as a technician's phone opens it now."""
        key, roles = keys.authenticate(self.phones[username], now=self.now)
        return access.open_with_key(key, site.CODE, roles=roles)

    def play(self, event: Event) -> None:
        """Do what the event says, at its moment; first let the sweep catch up where that matters."""
        self.now = event.at
        if event.kind not in SENT_AS_THEY_COME:
            self.catch_up()
        self._actions[event.kind](event)

    def catch_up(self) -> None:
        """Run the sweep until nothing is due."""
        sweep.run_until_idle(clock=lambda: self.now)

    # ---- set-up ------------------------------------------------------------------------------------
    def _alignment(self, event: Event) -> None:
        place.issue_alignment(
            opened=self.opened(event.by), code=event.subject, rev=event.rev, now=self.now, **event.body
        )

    def _area(self, event: Event) -> None:
        place.issue_area(opened=self.opened(event.by), code=event.subject, rev=event.rev, now=self.now, **event.body)

    def _apparatus(self, event: Event) -> None:
        apparatus.register(
            opened=self.opened(event.by), serial=event.subject, rev=event.rev, body=event.body, now=self.now
        )

    def _count(self, event: Event) -> None:
        standard_counts.enter(opened=self.at_the_phone(event.by), client_uuid=event.id, body=event.body, now=self.now)

    def _certificate(self, event: Event) -> None:
        certificates.enter(opened=self.opened(event.by), client_uuid=event.id, body=event.body, now=self.now)

    def _sample(self, event: Event) -> None:
        samples.record(opened=self.opened(event.by), code=event.subject, rev=event.rev, body=event.body, now=self.now)

    def _reference(self, event: Event) -> None:
        references.issue(opened=self.opened(event.by), code=event.subject, rev=event.rev, body=event.body, now=self.now)

    def _reference_approved(self, event: Event) -> None:
        references.approve(
            opened=self.opened(event.by),
            code=event.subject,
            rev=event.rev,
            client_uuid=event.id,
            body=event.body,
            now=self.now,
        )

    def _specification(self, event: Event) -> None:
        specifications.issue(
            opened=self.opened(event.by), code=event.subject, rev=event.rev, body=event.body, now=self.now
        )

    def _specification_approved(self, event: Event) -> None:
        specifications.approve(
            opened=self.opened(event.by),
            code=event.subject,
            rev=event.rev,
            client_uuid=event.id,
            body=event.body,
            now=self.now,
        )

    # ---- the day's work ----------------------------------------------------------------------------
    def _placement(self, event: Event) -> None:
        placements.record(opened=self.opened(event.by), client_uuid=event.id, body=event.body, now=self.now)

    def _test(self, event: Event) -> None:
        field_tests.record(
            opened=self.at_the_phone(event.by),
            client_uuid=event.id,
            body=event.body,
            raw=json.dumps(event.body, ensure_ascii=False),
            now=self.now,
        )

    def _amendment(self, event: Event) -> None:
        by_phone = event.by in self.phones
        amendments.amend(
            opened=self.at_the_phone(event.by) if by_phone else self.opened(event.by),
            test_uuid=uuid.UUID(event.subject),
            client_uuid=event.id,
            raw=json.dumps(event.body, ensure_ascii=False),
            now=self.now,
            **event.body,
        )

    def _void_asked(self, event: Event) -> None:
        voids.ask(opened=self.at_the_phone(event.by), **self._about_a_test(event))

    def _void_confirmed(self, event: Event) -> None:
        voids.confirm(opened=self.opened(event.by), **self._about_a_test(event))

    def _hold_released(self, event: Event) -> None:
        holds.release(opened=self.opened(event.by), **self._about_a_test(event))

    def _about_a_test(self, event: Event) -> dict[str, Any]:
        return {
            "test_uuid": uuid.UUID(event.subject),
            "client_uuid": event.id,
            "body": event.body,
            "now": self.now,
        }

    # ---- gauges ------------------------------------------------------------------------------------
    def _gauge_correction(self, event: Event) -> None:
        """On the comparison that the supervisor sees at that moment."""
        opened = self.opened(event.by)
        found = gauge_comparisons.of_key(opened, read_correction(event.body).key)
        assert found is not None
        body = {**event.body, "analysis_digest": found.digest}
        gauge_corrections.propose(opened=opened, client_uuid=event.id, body=body, now=self.now)

    def _gauge_correction_adopted(self, event: Event) -> None:
        gauge_corrections.adopt(
            opened=self.opened(event.by),
            correction=uuid.UUID(event.subject),
            client_uuid=event.id,
            body=event.body,
            now=self.now,
        )

    # ---- lots --------------------------------------------------------------------------------------
    def _lot(self, event: Event) -> None:
        lots.declare(opened=self.opened(event.by), code=event.subject, rev=event.rev, body=event.body, now=self.now)

    def _lot_closed(self, event: Event) -> None:
        """On the figures that the engineer sees at that moment."""
        opened = self.opened(event.by)
        story = lot_story(opened, event.subject)
        assert story is not None
        body = {**event.body, "basis_digest": story.row.outcome_digest}
        lots.close(opened=opened, code=event.subject, client_uuid=event.id, body=body, now=self.now)

    # ---- lifts -------------------------------------------------------------------------------------
    def _location_draw(self, event: Event) -> None:
        """With the scenario's own seed, so that its tests stand where the places are."""
        locations.draw(
            opened=self.opened(event.by), client_uuid=event.id, body=event.body, now=self.now, seed=event.subject
        )

    def _location_substituted(self, event: Event) -> None:
        drawing, location = map(uuid.UUID, event.subject.split())
        substitutions.substitute(
            opened=self.at_the_phone(event.by), draw_uuid=drawing, location=location, client_uuid=event.id,
            body=event.body, now=self.now,
        )  # fmt: skip

    def _not_tested(self, event: Event) -> None:
        coverage.note_not_tested(
            opened=self.at_the_phone(event.by), client_uuid=event.id, body=event.body, now=self.now
        )

    def _observed_area(self, event: Event) -> None:
        observed_areas.record(opened=self.at_the_phone(event.by), client_uuid=event.id, body=event.body, now=self.now)

    def _lift_released(self, event: Event) -> None:
        """On the figures that the engineer sees at that moment."""
        opened = self.opened(event.by)
        area, _, lift = event.subject.rpartition(":")
        story = coverage_queries.group(opened, area, int(lift))
        assert story is not None
        body = {**event.body, "basis_digest": story.covered.digest}
        coverage.release(opened=opened, area=area, lift=int(lift), client_uuid=event.id, body=body, now=self.now)

    # ---- failures ----------------------------------------------------------------------------------
    def _failure(self, event: Event) -> uuid.UUID:
        return failure_uuid(self.project.uuid, event.subject, event.failure_kind)

    def _rework(self, event: Event) -> None:
        failures.report_rework(
            opened=self.opened(event.by),
            failure_uuid=self._failure(event),
            client_uuid=event.id,
            body=event.body,
            now=self.now,
        )

    def _closing(self, event: Event) -> None:
        self._close(self.opened(event.by), self._failure(event), event.id, event.body)

    def _round(self, event: Event) -> None:
        """The engineer's list at the end of the day: close what passes, look again where figures moved."""
        opened = self.opened(event.by)
        for row in failure_rows(opened, now=self.now):
            again = row.state == chain.CLOSED and row.basis_changed
            ready = row.state == chain.PASSED and row.next_action.startswith("engineer")
            if row.root_test in event.body["leave"] or not (again or ready):
                continue  # not ready, or with a ruling of its own to come
            reason = "Rework reported, the retest passes."
            if again:
                reason = "The figures moved with a revised reference; the retest still passes."
            body = {"meaning": chain.CLOSED, "reason": reason, "basis_digest": row.chain_digest}
            self._close(
                opened, uuid.UUID(row.uuid), identity(self.scenario.seed, event.id, row.root_test, row.kind), body
            )

    def _close(self, opened: Open, failure: uuid.UUID, client_uuid: uuid.UUID, body: Mapping[str, Any]) -> None:
        failures.close(opened=opened, failure_uuid=failure, client_uuid=client_uuid, body=body, now=self.now)
