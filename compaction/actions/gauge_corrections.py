"""Say which tests are a pair, choose the rule, propose a correction of a gauge, see what it would change, adopt it."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time
from typing import Any

from django.db import transaction
from django.db.models import Model, Q

from compaction import jobs
from compaction.actions import decisions, kept
from compaction.actions.previews import Preview, preview_under
from compaction.actions.references import mark_tests
from compaction.actions.refusals import NeedsAnother, NotCurrent, Refused, Unknown
from compaction.instrument_facts import GaugeCorrectionFacts
from compaction.models import Decision, GaugeCorrection, GaugePair, GaugeRule, Test
from compaction.queries import gauge_comparisons, set_up
from compaction.queries.gauge_corrections import SUBJECT, facts_of
from compaction.records.gauge_corrections import read_correction, read_pair, read_rule
from projects import canonical, journal
from projects.access import Open


@dataclass(frozen=True)
class Noted:
    created: bool
    row: Any
    receipt: journal.Receipt | None


def _known(model: type[Any], opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any]) -> Noted | None:
    found = kept.known(model, opened, client_uuid, canonical.digest(body))
    return None if found is None else Noted(False, found, None)


def _written(opened: Open, row: Model, kind: str, body: Mapping[str, Any], reason: str, now: datetime) -> Noted:
    entry = journal.Entry(
        kind=kind,
        subject_kind=kind.partition(".")[0],
        subject=str(row.client_uuid),  # type: ignore[attr-defined]
        body={"content": body},
        reason=reason,
    )
    return Noted(True, row, kept.told(opened, entry, now=now))


def _person(opened: Open) -> str:
    return opened.actor.person or opened.actor.ident


def record_pair(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Noted:
    """Two tests at one spot are a pair, or a pair is taken out of the figures; both with a reason.

    Raises `ReadingsError`, `ContentConflict`, `Refused` (not a gauge test beside a direct one).
    """
    opened.require("record-gauge-pair")
    record = read_pair(body)
    with transaction.atomic():
        if known := _known(GaugePair, opened, client_uuid, body):
            return known
        _check_methods(opened, record.gauge_test, record.direct_test)
        row = GaugePair.objects.create(
            project=opened.project,
            client_uuid=client_uuid,
            gauge_test=record.gauge_test,
            direct_test=record.direct_test,
            counts=record.counts,
            reason=record.reason,
            content_sha256=canonical.digest(body),
            person=_person(opened),
            received_at=now,
        )
        return _written(opened, row, "gauge_pair.recorded", body, record.reason, now)


def _check_methods(opened: Open, gauge_test: uuid.UUID, direct_test: uuid.UUID | None) -> None:
    methods = {
        client_uuid: method
        for client_uuid, method in Test.objects.filter(
            project=opened.project, client_uuid__in=[one for one in (gauge_test, direct_test) if one]
        ).values_list("client_uuid", "method")
    }
    if methods.get(gauge_test) != gauge_comparisons.GAUGE:
        raise Refused("The first of the two is no test by nuclear gauge in this project.", code="not-a-gauge-test")
    if direct_test is not None and methods.get(direct_test) not in gauge_comparisons.DIRECT:
        raise Refused(
            "The second of the two is no direct test (sand, balloon, water or cylinder) in this project.",
            code="not-a-direct-test",
        )


def choose_rule(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Noted:
    """The rule that gauges of the project are compared by from now on. Raises `ReadingsError`, `ContentConflict`."""
    opened.require("adopt-gauge-correction")
    rule, reason = read_rule(body)
    with transaction.atomic():
        if known := _known(GaugeRule, opened, client_uuid, body):
            return known
        row = GaugeRule.objects.create(
            project=opened.project,
            client_uuid=client_uuid,
            rule=rule,
            reason=reason,
            content_sha256=canonical.digest(body),
            person=_person(opened),
            received_at=now,
        )
        return _written(opened, row, "gauge_rule.chosen", body, reason, now)


def propose(*, opened: Open, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime) -> Noted:
    """Propose a correction. One that names a comparison has to name the figures as they stand.

    Raises `ReadingsError`, `ContentConflict`, `NotCurrent` (the figures have moved).
    """
    opened.require("propose-gauge-correction")
    record = read_correction(body)
    with transaction.atomic():
        if known := _known(GaugeCorrection, opened, client_uuid, body):
            return known
        pairs: list[list[str]] = []
        if record.analysis_digest:
            found = gauge_comparisons.of_key(opened, record.key)
            if found is None or found.digest != record.analysis_digest:
                raise NotCurrent("The pairs are not those that were looked at any more; look at the comparison again.")
            pairs = [[pair.gauge, pair.direct] for pair in found.pairs if pair.counts]
        row = GaugeCorrection.objects.create(
            project=opened.project,
            client_uuid=client_uuid,
            gauge=record.key.gauge,
            reference=record.key.reference,
            mode=record.key.mode,
            notch=record.key.notch,
            effective_from=record.facts.effective_from,
            content=canonical.text(body),
            content_sha256=canonical.digest(body),
            pairs=canonical.text(pairs),
            analysis_digest=record.analysis_digest,
            reason=record.reason,
            author=_person(opened),
            received_at=now,
        )
        return _written(opened, row, "gauge_correction.proposed", body, record.reason, now)


def preview(*, opened: Open, body: Mapping[str, Any]) -> Preview:
    """What adopting a correction with this content would change. Raises `ReadingsError`."""
    facts = replace(read_correction(body).facts, ident="preview")
    return _preview(opened, facts)


def preview_of(opened: Open, client_uuid: uuid.UUID, *, now: datetime) -> Preview:
    """What adopting this proposal now would change. Raises `Unknown`."""
    return _preview(opened, facts_of(_row(opened, client_uuid), now))


def _preview(opened: Open, facts: GaugeCorrectionFacts) -> Preview:
    current = set_up.load(opened.project, setup_seq=opened.setup_seq)
    under = set_up.with_gauge_correction(current, facts)
    return preview_under(opened, under, lambda tests: _reached(opened, tests, facts))


def _row(opened: Open, client_uuid: uuid.UUID) -> GaugeCorrection:
    row = GaugeCorrection.objects.filter(project=opened.project, client_uuid=client_uuid).first()
    if row is None:
        raise Unknown("There is no such correction in this project.")
    return row


def _reached(opened: Open, tests: Any, facts: GaugeCorrectionFacts) -> Any:
    """Gauge tests from the day on, of its reference if it has one; the key decides among them."""
    begins = datetime.combine(facts.effective_from, time.min, tzinfo=opened.project.zone_info)
    reached = tests.filter(method=gauge_comparisons.GAUGE, performed_at__gte=begins)
    return reached.filter(Q(reference_code=facts.reference)) if facts.reference else reached


def adopt(
    *, opened: Open, correction: uuid.UUID, client_uuid: uuid.UUID, body: Mapping[str, Any], now: datetime
) -> decisions.Ruled:
    """An engineer adopts a proposal of somebody else. Every test that it reaches is worked out anew.

    Raises `Unknown`, `ContentConflict`, `NeedsAnother`, `Refused` (no reason, adopted already).
    """
    opened.require("adopt-gauge-correction")
    reason = str(body.get("reason", ""))
    with transaction.atomic():
        row = _row(opened, correction)
        repeated = decisions.known(opened, client_uuid, body)
        if repeated:
            return repeated
        if not reason.strip():
            raise Refused("Say in words on what ground it is adopted.", code="reason-missing")
        if row.author == _person(opened):
            raise NeedsAnother(f"{row.author} proposed the correction; another engineer has to adopt it.")
        if Decision.objects.filter(
            project=opened.project, subject_kind=SUBJECT, subject=str(correction), meaning="adopted"
        ).exists():
            raise Refused("The correction is adopted already.", code="adopted-already")
        facts = facts_of(row, now)
        ruled = decisions.write(
            opened=opened,
            client_uuid=client_uuid,
            body=body,
            subject_kind=SUBJECT,
            subject=str(correction),
            meaning="adopted",
            reason=reason,
            basis_digest=row.analysis_digest or row.content_sha256,
            changes_setup=True,
            now=now,
            before_journal=lambda _: mark_tests(
                opened, _reached(opened, Test.objects.all(), facts), f"correction of gauge {row.gauge} adopted"
            ),
        )
    jobs.wake_sweep()
    return ruled
