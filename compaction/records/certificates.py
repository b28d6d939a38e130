"""An operator's certificate: who may do what, by whom it was issued, from when until when."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from compaction.calculations import methods
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field
from compaction.instrument_facts import CertificateFacts
from compaction.records.reading import Part, day, long_text, read_record
from compaction.records.standard_counts import uuid_of

ALL, RADIATION_SAFETY = "all", "radiation_safety"
#: what a certificate is for -> words: one method, all of them, or radiation safety
SUBJECTS: Final = {
    **{code: method.title for code, method in methods.METHODS.items()},
    ALL: "all methods",
    RADIATION_SAFETY: "radiation safety",
}
FIELDS: Final = (
    Field("person", "text", True, "User name of the person"),
    Field("subject", "choice", True, "For", tuple(SUBJECTS)),
    Field("issuer", "text", False, "Issued by"),
    Field("number", "text", False, "Number"),
    Field("replaces", "text", False, "Id of the certificate that was written wrongly"),
)
PARTS: Final = (Part("valid_from", day, required=True), Part("valid_until", day), Part("remarks", long_text))


@dataclass(frozen=True)
class CertificateRecord:
    """A certificate as written. `replaces` is the id of an earlier record that no longer counts."""

    facts: CertificateFacts
    issuer: str
    number: str
    remarks: str
    replaces: UUID | None


def read(body: Mapping[str, Any]) -> CertificateRecord:
    """A certificate. Raises `ReadingsError`."""
    values, parts = read_record(FIELDS, PARTS, body)
    errors: list[ReadingError] = []
    starts, until = parts["valid_from"], parts.get("valid_until")
    if until is not None and until < starts:
        errors.append(ReadingError("/valid_until", "period-crossed", "The certificate ends before it begins."))
    if len(values.text("person")) > 150 or not values.text("person"):
        errors.append(ReadingError("/person", "out-of-range", "A user name of 1 to 150 characters is wanted here."))
    replaces = uuid_of(values.text("replaces"), errors) if values.text("replaces") else None
    if errors:
        raise ReadingsError(errors)
    return CertificateRecord(
        facts=CertificateFacts(values.text("person"), values.text("subject"), starts, until),
        issuer=values.text("issuer"),
        number=values.text("number"),
        remarks=parts.get("remarks", ""),
        replaces=replaces,
    )
