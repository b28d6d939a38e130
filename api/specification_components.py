"""Schemas of what governs at a point, of differences between revisions, and of drafts."""

from api.components import FREE, MOMENT, NUMBER, TEXT, WHOLE, YES_NO, Schema, many, maybe, of, ref, verdict, with_parts
from compaction.queries.governing import STATES
from compaction.records import governing_question, specification_diff


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    finding = of({"code": TEXT, "severity": TEXT, "sentence": TEXT, "numbers": FREE})
    standing = of(
        {
            "number": WHOLE,
            "state": {"type": "string", "enum": list(STATES)},
            "because": many(TEXT),
            **dict.fromkeys(("sentence", "sentence_si"), TEXT),
            "quantity": TEXT,
            **{name: maybe(NUMBER) for name in ("minimum", "maximum", "depth_from_m", "depth_to_m")},
            "unit": TEXT,
            "contractual": YES_NO,
            "zone": TEXT,
            "conditions": FREE,
            "clause": TEXT,
        }
    )
    judged = verdict()
    judged = {name: judged[name] for name in judged if name not in ("holds", "reference", "specification")}
    difference = of(
        {
            "kind": {
                "type": "string",
                "enum": [specification_diff.ADDED, specification_diff.REMOVED, specification_diff.CHANGED],
            },
            "what": TEXT,
            **dict.fromkeys(("before", "after", "before_si", "after_si"), TEXT),
        }
    )
    place = {name: TEXT for name in ("alignment", "station", "offset", "zone")}
    heights = {name: maybe(NUMBER) for name in ("elevation_m", "depth_below_grade_m")}
    return {
        "GoverningQuestion": with_parts(governing_question.FIELDS, {"at": MOMENT, "position": FREE}),
        "Governing": of(
            {
                "at": MOMENT,
                "specification": maybe(of({"code": TEXT, "rev": WHOLE, "approved": YES_NO})),
                "reference": maybe(of({"code": TEXT, "rev": WHOLE, "method": TEXT})),
                "place": of({**place, "exempt": YES_NO, **heights}),
                "facts": FREE,
                "criteria": many(standing),
                "judged": maybe(of(judged)),
                "findings": many(finding),
            }
        ),
        "SpecificationDifferences": of({"code": TEXT, "from": WHOLE, "to": WHOLE, "differences": many(difference)}),
        "SpecificationDrafts": of({"items": many(of({"key": TEXT, "words": TEXT, "body": ref("Specification")}))}),
    }
