"""Schemas of instruments, counts, certificates and gauge corrections: bodies from the readers' own lists, answers."""

from typing import Final

from api.components import (
    DAY,
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
from compaction.observation.description import readings_schema
from compaction.records import (
    apparatus,
    apparatus_parts,
    calibration_weighings,
    certificates,
    gauge_corrections,
    standard_counts,
)

COUNTS: Final[Schema] = {
    "type": "array",
    "items": {"type": "integer", "minimum": 1, "maximum": 9_999_999},
    "minItems": 1,
    "maxItems": standard_counts.MOST_COUNTS,
}


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    return {**_instruments(), **_gauges()}


def _instruments() -> dict[str, Schema]:
    state = {"type": "string", "enum": ["in_date", "due_soon", "out_of_date", "not_yet"]}
    record = of({"rev": WHOLE, "author": TEXT, "received_at": MOMENT, "findings": many(FREE)}, more=True)
    entered = {"id": ID, "receipt": ref("Receipt")}
    judged = {"accepted": maybe(YES_NO), "sentence": TEXT, "replaced": YES_NO}
    return {
        "Apparatus": with_parts(
            apparatus.FIELDS,
            {
                "valid_from": DAY,
                "valid_until": DAY,
                "values": {"type": "object", "additionalProperties": TEXT},
                "calibrations": many(
                    with_parts(
                        apparatus_parts.CALIBRATION_FIELDS,
                        {
                            "repeats": many(TEXT, minItems=1, maxItems=apparatus_parts.MOST_REPEATS),
                            "weighings": many(
                                {"anyOf": _weighings()}, minItems=1, maxItems=apparatus_parts.MOST_REPEATS
                            ),
                        },
                    ),
                    maxItems=10,
                ),
                "check_masses": many(readings_schema(apparatus_parts.CHECK_MASS_FIELDS), maxItems=20),
                "upkeep": many(readings_schema(apparatus_parts.UPKEEP_FIELDS), maxItems=20),
                "standard_counts": readings_schema(apparatus_parts.COUNT_RULE_FIELDS),
                "remarks": LONG,
            },
            ("valid_from",),
        ),
        "StandardCount": with_parts(
            standard_counts.FIELDS,
            {"taken_at": MOMENT, "density_counts": COUNTS, "moisture_counts": COUNTS, "remarks": LONG},
            ("taken_at",),
        ),
        "Certificate": with_parts(
            certificates.FIELDS, {"valid_from": DAY, "valid_until": DAY, "remarks": LONG}, ("valid_from",)
        ),
        "Instrument": of(
            {
                "serial": TEXT,
                "kind": TEXT,
                "name": TEXT,
                "state": state,
                "valid_until": maybe(DAY),
                "due": many(FREE),
                "records": many(record),
            }
        ),
        "InstrumentList": of({"items": many(ref("Instrument"))}),
        "StandardCountLine": of({"id": ID, "serial": TEXT, "taken_at": MOMENT, **judged}, more=True),
        "StandardCountList": of({"items": many(ref("StandardCountLine"))}),
        "EnteredStandardCount": of({**entered, **judged}),
        "CertificateLine": of(
            {"id": ID, "person": TEXT, "subject": TEXT, "state": state, "replaced": YES_NO}, more=True
        ),
        "CertificateList": of({"items": many(ref("CertificateLine"))}),
        "EnteredCertificate": of(entered),
        "InstrumentPreview": of(
            {
                **{name: WHOLE for name in ("used", "gain", "lose", "held", "result_changes")},
                "sentence": TEXT,
                "rows": many(FREE),
            }
        ),
    }


def _weighings() -> list[Schema]:
    """One repeat as weighed: of a mould or cylinder by water, of sand in a container, of a cone."""
    return [readings_schema(fields) for fields in dict.fromkeys(calibration_weighings.WEIGHED.values())]


def _gauges() -> dict[str, Schema]:
    key = {"gauge": TEXT, "reference": TEXT, "mode": TEXT, "notch": maybe(WHOLE)}
    reason = {"reason": LONG}
    quantity = {
        **{name: TEXT for name in ("quantity", "unit", "verdict")},
        "pairs": WHOLE,
        **{name: maybe(NUMBER) for name in ("mean_difference", "confidence_low", "confidence_high")},
        "sentences": many(TEXT),
    }
    line = {
        "id": ID,
        **key,
        **{name: WHOLE for name in ("gauge_tests", "pairs")},
        **{name: TEXT for name in ("rule", "verdict")},
        "digest": DIGEST,
        "quantities": many(of(quantity)),
    }
    return {
        "GaugePair": with_parts(
            gauge_corrections.PAIR_FIELDS, {**reason, "gauge_test": ID, "direct_test": ID}, ("reason",)
        ),
        "GaugeRule": with_parts(gauge_corrections.RULE_FIELDS, reason, ("reason",)),
        "GaugeCorrection": with_parts(
            gauge_corrections.CORRECTION_FIELDS,
            {"effective_from": DAY, "analysis_digest": DIGEST, **reason},
            ("effective_from", "reason"),
        ),
        "Noted": of({"id": ID, "receipt": maybe(ref("Receipt"))}),
        "GaugeComparisonLine": of(line),
        "GaugeComparisonList": of({"items": many(ref("GaugeComparisonLine"))}),
        "GaugeComparison": of(
            {**line, "spots": many(FREE), "statistics": FREE, "corrections": many(ref("GaugeCorrectionLine"))}
        ),
        "GaugeCorrectionLine": of(
            {
                "id": ID,
                **key,
                "effective_from": DAY,
                **{name: YES_NO for name in ("ends", "in_force")},
                **{name: TEXT for name in ("author", "reason", "analysis_digest")},
                "received_at": MOMENT,
                "pairs": many(many(TEXT)),
                "content": FREE,
                "adoption": maybe(ref("Decision")),
            }
        ),
        "GaugeCorrectionList": of({"items": many(ref("GaugeCorrectionLine"))}),
    }
