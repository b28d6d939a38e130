"""Instruments with their records, standard counts of gauges, certificates of operators; each with a preview."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import change, sent_object
from compaction.actions import certificates, instrument_previews, standard_counts
from compaction.actions.instrument_previews import InstrumentPreview
from compaction.actions.refusals import Unknown
from compaction.queries import instrument_lists
from compaction.queries.instrument_lists import CertificateLine, CountLine, InstrumentLine

SERIAL = Parameter("serial", ask.words(40), "Serial number of a gauge.", {"type": "string", "maxLength": 40})


def previewing(summary: str, body: str, *, problem: str = "conflict") -> dict[str, Operation]:
    """What a preview of a record declares."""
    return {
        "POST": Operation(
            needs="read",
            summary=summary,
            words="Nothing is stored; send the same body with PUT to keep it.",
            body=body,
            answers={200: "InstrumentPreview"},
            problems=("content-unreadable", problem),
        )
    }


def entering(needs: str, summary: str, body: str, words: str) -> dict[str, Operation]:
    """What the entry of a record under the client's id declares."""
    return {
        "PUT": Operation(
            needs=needs,
            summary=summary,
            words=words,
            body=body,
            answers={201: f"Entered{body}", 200: f"Entered{body}"},
            problems=("content-conflict", "content-unreadable", "conflict"),
            headers={"Idempotent-Replay": "true if it was on record."},
        )
    }


class InstrumentResource(ProjectResource):
    """What is told of the day: the project's own."""

    tag = "apparatus"

    @property
    def today(self) -> Any:
        """The project's day."""
        return self.now.astimezone(self.opened.project.zone_info).date()


class InstrumentList(InstrumentResource):
    """Every instrument with its records."""

    operations = {"GET": Operation(needs="read", summary="List apparatus", answers={200: "InstrumentList"})}

    def get(self, request: Request, project: str) -> Response:
        """By serial number."""
        found = instrument_lists.instrument_list(self.opened, today=self.today)
        return Response({"items": [instrument(line) for line in found.values()]})


class InstrumentDetail(InstrumentResource):
    """One instrument."""

    operations = {"GET": Operation(needs="read", summary="Read one instrument", answers={200: "Instrument"})}

    def get(self, request: Request, project: str, code: str) -> Response:
        """Its records, the oldest first, with what each shows against itself."""
        line = instrument_lists.instrument_list(self.opened, today=self.today).get(code)
        if line is None:
            raise Unknown(f"There is no instrument {code}.")
        return Response(instrument(line))


class ApparatusPreview(InstrumentResource):
    """What a record of an instrument would change."""

    whole_project = True
    operations = previewing("Preview a record of apparatus", "Apparatus", problem="revision-conflict")

    def post(self, request: Request, project: str, code: str, rev: int) -> Response:
        """Counts, and each test that changes."""
        body = sent_object(self)
        found = instrument_previews.preview_record(opened=self.opened, serial=code, rev=rev, body=body, now=self.now)
        return Response(previewed(found))


class StandardCountList(InstrumentResource):
    """Standard counts and stability checks."""

    operations = {
        "GET": Operation(
            needs="read",
            summary="List standard counts",
            words="In time, each with its verdict against the counts accepted before it, or the certificate.",
            answers={200: "StandardCountList"},
            parameters=(SERIAL,),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """All, or those of one gauge."""
        found = instrument_lists.count_list(self.opened, serial=self.query.get("serial", ""))
        return Response({"items": [count(line) for line in found]})


class StandardCountPreview(InstrumentResource):
    """What a standard count would change."""

    whole_project = True
    operations = previewing("Preview a standard count", "StandardCount")

    def post(self, request: Request, project: str) -> Response:
        """Counts, and each test that changes."""
        body = sent_object(self)
        return Response(previewed(instrument_previews.preview_count(opened=self.opened, body=body, now=self.now)))


class StandardCount(InstrumentResource):
    """A standard count under the client's id."""

    operations = entering(
        "enter-count",
        "Enter a standard count",
        "StandardCount",
        "Off its limits it is stored all the same; the answer says so, and tests made on it are remarked.",
    )

    def put(self, request: Request, project: str, count_id: UUID) -> Response:
        """Enter it."""
        body = sent_object(self)
        done = standard_counts.enter(opened=self.opened, client_uuid=count_id, body=body, now=self.now)
        lines = instrument_lists.count_list(self.opened, serial=done.row.serial)
        line = next(line for line in lines if line.uuid == count_id)
        content = {"id": str(count_id), "receipt": answers.receipt(done.receipt), **verdict(line)}
        return answers.once(content, created=done.created)


class CertificateList(InstrumentResource):
    """Certificates of operators."""

    whole_project = True
    operations = {
        "GET": Operation(needs="read", summary="List operators' certificates", answers={200: "CertificateList"})
    }

    def get(self, request: Request, project: str) -> Response:
        """By person and subject."""
        found = instrument_lists.certificate_list(self.opened, today=self.today)
        return Response({"items": [certificate(line) for line in found]})


class CertificatePreview(InstrumentResource):
    """What a certificate would change."""

    whole_project = True
    operations = previewing("Preview an operator's certificate", "Certificate")

    def post(self, request: Request, project: str) -> Response:
        """Counts, and each test that changes."""
        body = sent_object(self)
        return Response(previewed(instrument_previews.preview_certificate(opened=self.opened, body=body, now=self.now)))


class Certificate(InstrumentResource):
    """A certificate under the client's id."""

    operations = entering(
        "enter-certificate",
        "Enter an operator's certificate",
        "Certificate",
        "With the first for a method the project keeps certificates for it; tests of others are remarked.",
    )

    def put(self, request: Request, project: str, certificate_id: UUID) -> Response:
        """Enter it."""
        body = sent_object(self)
        done = certificates.enter(opened=self.opened, client_uuid=certificate_id, body=body, now=self.now)
        content = {"id": str(certificate_id), "receipt": answers.receipt(done.receipt)}
        return answers.once(content, created=done.created)


# ---- shapes --------------------------------------------------------------------------------------
def instrument(line: InstrumentLine) -> dict[str, Any]:
    """An instrument with its records; numbers of a calibration in kg, m3, kg/m3."""
    return {
        "serial": line.serial,
        "kind": line.kind,
        "name": line.name,
        "state": line.state,
        "valid_until": answers.plain(line.valid_until),
        "due": [{**answers.plain(item.upkeep), "state": item.state} for item in line.due],
        "records": [
            {
                **answers.plain(item.record),
                "rev": item.rev,
                "author": item.author,
                "received_at": answers.plain(item.received_at),
            }
            for item in line.records
        ],
    }


def verdict(line: CountLine) -> dict[str, Any]:
    """Whether a count stands, and why."""
    return {"accepted": line.accepted, "sentence": line.sentence, "replaced": line.replaced}


def count(line: CountLine) -> dict[str, Any]:
    """A count in a list."""
    record: dict[str, Any] = answers.plain(line.record)
    kinds = [] if line.judged is None else line.judged.kinds
    return {
        **record,
        "id": str(line.uuid),
        "author": line.author,
        "references": {item.kind: answers.plain(item.reference) for item in kinds},
        **verdict(line),
    }


def certificate(line: CertificateLine) -> dict[str, Any]:
    """A certificate in a list."""
    return {
        "id": str(line.uuid),
        **answers.plain(line.facts),
        "issuer": line.issuer,
        "number": line.number,
        "remarks": line.remarks,
        "state": line.state,
        "replaced": line.replaced,
        "author": line.author,
    }


def previewed(found: InstrumentPreview) -> dict[str, Any]:
    """A preview."""
    return {
        "used": found.used,
        "gain": found.gain,
        "lose": found.lose,
        "held": found.held,
        "result_changes": found.result_changes,
        "sentence": found.sentence,
        "rows": [
            {**change(row.change), "gained": list(row.gained), "lost": list(row.lost), "held": list(row.held)}
            for row in found.rows
        ],
    }
