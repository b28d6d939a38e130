"""References looked at as a whole, from the lists that pages and API have read."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from compaction.queries import laboratory
from compaction.queries.laboratory import Laboratory
from compaction.queries.set_up_lists import RevisionLine
from compaction.records import curve_review, kinds
from compaction.records.curve_review import Review, Sibling
from projects.access import Open


def reviews(
    opened: Open, listed: Mapping[str, Sequence[RevisionLine]], code: str, *, at_percent: Decimal = Decimal(95)
) -> dict[int, Review]:
    """Revision -> review, of one code; siblings are the newest revisions of the others. Two statements."""
    bench, siblings = laboratory.read(opened.project.pk), _siblings(listed, code)
    return {
        line.rev: _review(bench, siblings, code, line.rev, line.content, at_percent=at_percent) for line in listed[code]
    }


def review_of(
    opened: Open, listed: Mapping[str, Sequence[RevisionLine]], code: str, rev: int, body: Mapping[str, Any]
) -> Review:
    """The same of a body that is not on record. Raises `ReadingsError`."""
    return _review(laboratory.read(opened.project.pk), _siblings(listed, code), code, rev, body)


def _siblings(listed: Mapping[str, Sequence[RevisionLine]], code: str) -> list[Sibling]:
    return [
        Sibling(other, lines[-1].title, lines[-1].facts) for other, lines in listed.items() if other != code and lines
    ]


def _review(
    bench: Laboratory,
    siblings: Sequence[Sibling],
    code: str,
    rev: int,
    body: Mapping[str, Any],
    *,
    at_percent: Decimal = Decimal(95),
) -> Review:
    record = kinds.read(body, code=code, rev=rev, moulds=bench.moulds)
    sample = bench.samples.get(record.sample)
    return curve_review.review(
        record,
        soil=bench.soils.get(record.sample),
        sample_specific_gravity=sample.specific_gravity if sample else None,
        siblings=siblings,
        at_percent=at_percent,
    )
