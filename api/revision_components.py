"""Schemas of references, samples and specifications: bodies from the readers' own lists, revisions as kept."""

from api.components import DAY, FREE, LONG, MOMENT, TEXT, WHOLE, YES_NO, Schema, many, maybe, of, ref, with_parts
from compaction.observation.choices import PURPOSES
from compaction.observation.description import readings_schema
from compaction.records import bench_points, criterion, kinds, looks, reference, sample, specification


def _criterion() -> Schema:
    lists = {
        name: many(
            {"type": "string", "minLength": 1, "maxLength": criterion.LONGEST_WORD}
            | ({} if allowed is None else {"enum": list(allowed)}),
            minItems=1,
            maxItems=most,
        )
        for name, (most, allowed) in criterion.LISTS.items()
    }
    clause = {"type": "string", "maxLength": criterion.LONGEST_CLAUSE, "title": "Clause, as it reads"}
    return with_parts(criterion.FIELDS, {**lists, "clause": clause})


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    revision_parts = {"effective_from": DAY, "reason": LONG, "remarks": LONG}
    return {
        "Reference": {"oneOf": [ref(name) for name in ("MoistureDensityReference", *kinds.schemas())]},
        **kinds.schemas(),
        "MoistureDensityReference": with_parts(
            reference.FIELDS, {"valid_until": DAY, "points": many(bench_points.schema(), maxItems=40), **revision_parts}
        ),
        "Sample": with_parts(
            sample.FIELDS,
            {
                "gradation": many(readings_schema(sample.SIZE_FIELDS), maxItems=sample.MOST_SIZES),
                "sampled_on": DAY,
                "reason": LONG,
                "remarks": LONG,
            },
        ),
        "Specification": with_parts(
            specification.FIELDS,
            {
                "criteria": many(_criterion(), minItems=1, maxItems=criterion.MOST),
                "rounding": many(readings_schema(specification.STEP_FIELDS), maxItems=20),
                "held_findings": many({"type": "string", "maxLength": 40}, maxItems=specification.MOST_HELD),
                "purposes": many({"type": "string", "enum": list(PURPOSES)}, minItems=1),
                "editions": {
                    "type": "object",
                    "minProperties": 1,
                    "properties": {
                        standard: {"type": "string", "pattern": f"^{specification.EDITION_YEAR}$"}
                        for standard in specification.DATED_STANDARDS
                    },
                    "additionalProperties": False,
                },
                "observation_accepts": many(
                    {"type": "string", "minLength": 1, "maxLength": 40},
                    minItems=1,
                    maxItems=specification.MOST_OBSERVED,
                ),
                "frequency": many(ref("FrequencyRule"), minItems=1),
                "looks": with_parts(looks.LOOK_FIELDS, {"least_times": readings_schema(looks.TIME_FIELDS)}),
                **revision_parts,
            },
            ("criteria",),
        ),
        "Issued": of({"created": YES_NO, "rev": WHOLE, "receipt": maybe(ref("Receipt"))}),
        "Revision": of(
            {
                "code": TEXT,
                "rev": WHOLE,
                "title": TEXT,
                "author": TEXT,
                "received_at": MOMENT,
                "reach": TEXT,
                "reason": TEXT,
                "approval": maybe(ref("Decision")),
                "facts": FREE,
                "findings": many(FREE),
                "content": FREE,
            }
        ),
        "ReferenceRevision": of(
            {"code": TEXT, "rev": WHOLE, "points": many(FREE), "fits": maybe(FREE), "findings": many(FREE)}, more=True
        ),
        "SampleRevision": of({"code": TEXT, "rev": WHOLE, "group_symbol": TEXT, "group_name": TEXT}, more=True),
        "SampleList": of({"items": many(of({"code": TEXT, "revisions": many(ref("SampleRevision"))}))}),
        "RevisionList": of({"items": many(of({"code": TEXT, "revisions": many(ref("Revision"))}))}),
        "ApprovalPreview": of(
            {
                **{
                    name: WHOLE
                    for name in ("total", "changed", "pass_to_fail", "fail_to_pass", "becomes_final", "buried")
                },
                "sentence": TEXT,
                "rows": many(FREE),
            }
        ),
    }
