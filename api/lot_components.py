"""Schemas of lots: the declaration from the readers' own lists of fields, results with members and figures."""

from api.components import DAY, DIGEST, FREE, ID, LONG, TEXT, WHOLE, YES_NO, Schema, many, maybe, of, ref, with_parts
from compaction.observation.choices import PURPOSES
from compaction.observation.description import readings_schema
from compaction.queries.lots import CLOSINGS
from compaction.records import lot, lot_rule


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    lot_row = {
        **{name: TEXT for name in ("code", "title", "state", "result", "basis", "outcome_digest")},
        **{name: WHOLE for name in ("rev", "tests", "failing")},
        "basis_changed": YES_NO,
    }
    member = of({"test": ID, "label": TEXT, "counts": YES_NO, "code": TEXT, "reason": TEXT}, more=True)
    verdict = of(
        {"statistic": TEXT, "quantity": TEXT, "result": TEXT, "tests": WHOLE, "figures": FREE, "sentence": TEXT}
    )
    lot_result = {
        "sentence": TEXT,
        "basis_reasons": many(TEXT),
        "verdicts": many(verdict),
        "members": many(member),
        "failing": many(of({"test": ID, "label": TEXT})),
        "comparison": maybe(FREE),
    }
    return {
        "Lot": with_parts(
            lot.FIELDS,
            {
                "rules": many(readings_schema(lot_rule.RULE_FIELDS), minItems=1, maxItems=6),
                "purposes": many({"type": "string", "enum": list(PURPOSES)}, minItems=1),
                "k_by_tests": many(readings_schema(lot.K_FIELDS), maxItems=60),
                **{name: DAY for name in ("first_day", "last_day")},
                **{name: LONG for name in ("reason", "remarks")},
            },
            ("rules",),
        ),
        "LotClosing": of(
            {"meaning": {"type": "string", "enum": list(CLOSINGS)}, "basis_digest": DIGEST, "reason": LONG}
        ),
        "LotRow": of(lot_row, more=True),
        "LotList": of({"items": many(ref("LotRow"))}),
        "LotStory": of(
            {**lot_row, **lot_result, "revisions": many(FREE), "decisions": many(ref("Decision"))}, more=True
        ),
        "LotPreview": of({"result": TEXT, "basis": TEXT, **lot_result}),
    }
