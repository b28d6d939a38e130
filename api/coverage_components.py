"""Schemas of coverage: frequency rules, lifts with their counts, signatures, notes, totals, previews."""

from typing import Final

from api.components import (
    DIGEST,
    FREE,
    ID,
    LONG,
    MOMENT,
    NUMBER,
    TEXT,
    WHOLE,
    YES_NO,
    Schema,
    many,
    maybe,
    of,
    ref,
    with_parts,
)
from compaction.observation.choices import PURPOSES
from compaction.observation.description import quantity_schema, readings_schema
from compaction.queries.coverage import STATES
from compaction.records import follow_up, frequency_question, frequency_rule, placement_parts

_NAME: Final[Schema] = {"type": "string", "minLength": 1, "maxLength": 200}
_TALLY: Final = ("made", "passing", "failing", "short", "pending", "held", "buried", "retests")


def _rules() -> dict[str, Schema]:
    kinds = sorted(set(frequency_rule.KINDS.values()))
    counter = with_parts(
        frequency_rule.COUNTER_FIELDS,
        {
            "interval": {
                "description": "One test for every so much (a quantity) or so many (a whole number) of the basis.",
                "anyOf": [quantity_schema(kinds), {"type": "integer", "minimum": 1}],
            }
        },
    )
    rule = with_parts(
        frequency_rule.RULE_FIELDS,
        {
            "counters": many(ref("FrequencyCounter"), minItems=1, maxItems=frequency_rule.MOST_COUNTERS),
            "methods": many(TEXT),
            "purposes": many({"type": "string", "enum": list(PURPOSES)}),
        },
        ("counters",),
    )
    question = with_parts(
        frequency_question.QUESTION_FIELDS,
        {"frequency": many(ref("FrequencyRule"), minItems=1, maxItems=frequency_rule.MOST_RULES)},
    )
    return {"FrequencyCounter": counter, "FrequencyRule": rule, "FrequencyQuestion": question}


def _lifts() -> dict[str, Schema]:
    count = {
        **{name: TEXT for name in ("rule", "basis", "within", "sentence")},
        "quantity": maybe(NUMBER),
        "interval": NUMBER,
        "required": maybe(WHOLE),
        "at_least": WHOLE,
    }
    state = {"type": "string", "enum": list(STATES)}
    row = {
        **{name: TEXT for name in ("area", "sentence", "not_tested", "alignment", "zone", "material", "signed_by")},
        "lift": WHOLE,
        "state": state,
        "required": maybe(WHOLE),
        **{name: WHOLE for name in (*_TALLY, "placements")},
        **{name: maybe(NUMBER) for name in ("volume_m3", "area_m2", "station_from_m", "station_to_m")},
        "elevation_top_m": maybe(NUMBER),
        **{name: maybe(MOMENT) for name in ("first_placed_at", "last_placed_at")},
        **{name: many(WHOLE) for name in ("below", "above")},
        **{name: YES_NO for name in ("over_unreleased", "signature_wanted", "withdrawn")},
        "counts": many(ref("FrequencyCount")),
        "digest": DIGEST,
        "tests": many(ID),
        "overlaps": many(TEXT),
    }
    test = {
        **{name: TEXT for name in ("label", "method", "purpose", "result", "failure_state")},
        "uuid": ID,
        "performed_at": MOMENT,
        **{name: YES_NO for name in ("original", "check", "held", "provisional", "voided", "exempt", "buried")},
        "counts": YES_NO,
    }
    note = {"id": ID, "reason_code": TEXT, "reason": TEXT, "author": TEXT, "noted_at": MOMENT, "received_at": MOMENT}
    return {
        "FrequencyCount": of(count),
        "Lift": of(row),
        "LiftList": of({"items": many(ref("Lift"))}),
        "LiftStory": of(
            {
                **row,
                "stale": YES_NO,
                "placed": many(FREE),
                "tests_here": many(of(test)),
                "rules": many(FREE),
                "decisions": many(ref("Decision")),
                "notes": many(of(note)),
            }
        ),
        "LiftRelease": of(
            {"meaning": {"type": "string", "enum": ["released"]}, "basis_digest": DIGEST, "reason": LONG}
        ),
        "NotTestedBody": with_parts(
            placement_parts.NOTE_FIELDS, {"noted_at": MOMENT, "reason": LONG}, ("noted_at", "reason")
        ),
        "RecordedNotTested": of({"id": ID, "receipt": ref("Receipt")}),
    }


def _totals() -> dict[str, Schema]:
    total = {
        "key": TEXT,
        "groups": WHOLE,
        "states": of({state: WHOLE for state in STATES}),
        "volume_m3": maybe(NUMBER),
        "area_m2": maybe(NUMBER),
        "required": maybe(WHOLE),
        **{name: WHOLE for name in (*_TALLY, "over_unreleased", "not_tested")},
    }
    check = {
        "rule": TEXT,
        "scope": TEXT,
        "quantity": maybe(NUMBER),
        "required": maybe(WHOLE),
        "made": WHOLE,
        "short": WHOLE,
        "sentence": TEXT,
    }
    planned = {
        "lift": WHOLE,
        "required": maybe(WHOLE),
        "at_least": WHOLE,
        "counts": many(ref("FrequencyCount")),
    }
    return {
        "CoverageTotals": of({"by": TEXT, "items": many(of(total)), "checks": many(of(check))}),
        "FrequencyPreview": of(
            {
                "required": maybe(WHOLE),
                "at_least": WHOLE,
                "sentence": TEXT,
                "rules": many(TEXT),
                "lifts": many(of(planned)),
            }
        ),
    }


def _placement_parts() -> dict[str, Schema]:
    """The members of a placement that are no flat fields."""
    return {
        "placed_at": MOMENT,
        "outline": many(
            readings_schema(placement_parts.CORNER_FIELDS), minItems=3, maxItems=placement_parts.MOST_CORNERS
        ),
        "not_tested": with_parts(placement_parts.NOT_TESTED_FIELDS, {"reason": LONG}, ("reason",)),
        "remarks": LONG,
    }


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    placement = with_parts(follow_up.PLACEMENT_FIELDS, _placement_parts(), ("placed_at",))
    return {"PlacementBody": placement, **_rules(), **_lifts(), **_totals()}
