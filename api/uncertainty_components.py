"""The schema of the uncertainty of a test."""

from api.components import NUMBER, TEXT, WHOLE, YES_NO, Schema, many, maybe, of


def schemas() -> dict[str, Schema]:
    """By name, for the document."""
    line = {name: NUMBER for name in ("value", "standard_uncertainty", "sensitivity", "contribution", "share_pct")}
    figure = {name: NUMBER for name in ("value", "standard_uncertainty", "expanded_uncertainty")}
    limits = {name: maybe(NUMBER) for name in ("minimum", "maximum", "guarded_minimum", "guarded_maximum")}
    conformity = {
        "number": WHOLE,
        "quantity": TEXT,
        "value": NUMBER,
        **limits,
        "probability_pct": NUMBER,
        "guard_band": NUMBER,
        "beyond_guard_band": YES_NO,
    }
    inputs = many(of({"name": TEXT, "basis": TEXT, **line}))
    report = {
        "coverage_factor": NUMBER,
        "budgets": many(of({"figure": TEXT, **figure, "inputs": inputs})),
        "conformities": many(of(conformity)),
        "notes": many(TEXT),
    }
    return {"TestUncertainty": of(report)}
