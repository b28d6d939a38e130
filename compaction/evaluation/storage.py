"""The form in which an outcome is stored: plain JSON, decimals as strings, exact there and back."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from compaction.facts import CriterionResult, Finding, Outcome, Step


def to_plain(outcome: Outcome) -> dict[str, Any]:
    """An outcome as JSON-able content. `from_plain` gives the same outcome again."""
    return {
        "result": outcome.result,
        "basis": outcome.basis,
        "basis_reasons": list(outcome.basis_reasons),
        "criteria": [
            {
                "number": one.number,
                "quantity": one.quantity,
                "kind": one.kind,
                "result": one.result,
                "found": _text(one.found),
                "judged": _text(one.judged),
                "minimum": _text(one.minimum),
                "maximum": _text(one.maximum),
                "margin": _text(one.margin),
                "contractual": one.contractual,
                "clause": one.clause,
                "sentence": one.sentence,
                **({} if one.unit == "%" else {"unit": one.unit}),
            }
            for one in outcome.criteria
        ],
        "figures": {name: format(value, "f") for name, value in outcome.figures.items()},
        "findings": [
            {"code": one.code, "severity": one.severity, "sentence": one.sentence, "numbers": dict(one.numbers)}
            for one in outcome.findings
        ],
        "steps": [
            {
                "id": one.id,
                "numbers": {name: format(value, "f") for name, value in one.numbers.items()},
                "result_name": one.result_name,
                "result": format(one.result, "f"),
                "note": one.note,
            }
            for one in outcome.steps
        ],
        "inputs_digest": outcome.inputs_digest,
    }


def from_plain(content: Mapping[str, Any]) -> Outcome:
    """The outcome from what `to_plain` made. Raises `KeyError` or `decimal.InvalidOperation` for anything else."""
    return Outcome(
        result=content["result"],
        basis=content["basis"],
        basis_reasons=tuple(content["basis_reasons"]),
        criteria=tuple(
            CriterionResult(
                number=one["number"],
                quantity=one["quantity"],
                kind=one["kind"],
                result=one["result"],
                found=_decimal(one["found"]),
                judged=_decimal(one["judged"]),
                minimum=_decimal(one["minimum"]),
                maximum=_decimal(one["maximum"]),
                margin=_decimal(one["margin"]),
                contractual=one["contractual"],
                clause=one["clause"],
                sentence=one["sentence"],
                unit=one.get("unit", "%"),
            )
            for one in content["criteria"]
        ),
        figures={name: Decimal(value) for name, value in content["figures"].items()},
        findings=tuple(
            Finding(one["code"], one["severity"], one["sentence"], dict(one["numbers"])) for one in content["findings"]
        ),
        steps=tuple(
            Step(
                id=one["id"],
                numbers={name: Decimal(value) for name, value in one["numbers"].items()},
                result_name=one["result_name"],
                result=Decimal(one["result"]),
                note=one["note"],
            )
            for one in content["steps"]
        ),
        inputs_digest=content["inputs_digest"],
    )


def _text(value: Decimal | None) -> str | None:
    return None if value is None else format(value, "f")


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
