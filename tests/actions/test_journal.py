"""The journal: append-only by trigger, and a chain that shows where it was broken when triggers are gone."""

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from projects import append_only, journal
from projects.models import JournalEvent, JournalHead
from tests.builders import failing_body, gauge_body

pytestmark = pytest.mark.both_databases


def test_an_event_can_be_neither_changed_nor_removed(site):
    for attempt in (
        lambda: JournalEvent.objects.filter(project=site.project).update(reason="nicer"),
        lambda: JournalEvent.objects.filter(project=site.project, seq=3).delete(),
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            attempt()


def test_every_append_only_table_has_its_triggers_and_a_missing_one_is_noticed(site):
    assert append_only.missing(connection) == []
    append_only.remove(connection)
    assert len(append_only.missing(connection)) >= 2 * 12
    append_only.install(connection)
    assert append_only.missing(connection) == []


@pytest.mark.parametrize(
    ("column", "value", "what"),
    [
        ("body", '{"content":"better"}', "the body was altered"),
        ("actor", "somebody.else", "the hash does not follow"),
        ("received_at", "2026-01-01T00:00:00.000000Z", "the hash does not follow"),
        ("reason", "another reason", "the hash does not follow"),
        ("seq", 9_000, "is missing"),
    ],
    ids=["body", "actor", "received-at", "reason", "renumbered"],
)
def test_an_edit_behind_the_triggers_is_found_and_located(site, column, value, what):
    site.post(gauge_body())
    site.post(failing_body(label="102"))
    seq = JournalHead.objects.get(project=site.project).seq - 1
    append_only.remove(connection)
    JournalEvent.objects.filter(project=site.project, seq=seq).update(**{column: value})
    found = journal.verify(site.project)
    append_only.install(connection)
    assert found[0].seq == seq
    assert any(what in item.what for item in found)


def test_a_cut_tail_is_found_by_the_head(site):
    site.post(gauge_body())
    append_only.remove(connection)
    JournalEvent.objects.filter(project=site.project).order_by("-seq").first().delete()
    found = journal.verify(site.project)
    append_only.install(connection)
    assert [item.what for item in found] == ["the head disagrees with the last event"]


def test_what_was_hashed_is_what_comes_back(site):
    recorded = site.post(gauge_body(remarks="Überhöhe, ½ lift, 日本"))
    event = JournalEvent.objects.get(project=site.project, seq=recorded.receipt.seq)
    fields = {name: getattr(event, name) for name in journal.HASHED_FIELDS if name != "project"}
    assert journal.event_hash({**fields, "project": str(site.project.uuid)}) == recorded.receipt.hash


def test_the_command_says_what_it_saw(site, capsys):
    site.post(gauge_body())
    call_command("check_records", "kestrel-dike")
    assert "1 tests, 0 breaks in the journal, 0 outcomes that differ" in capsys.readouterr().out
    with pytest.raises(CommandError, match="no project nowhere"):
        call_command("check_records", "nowhere")
