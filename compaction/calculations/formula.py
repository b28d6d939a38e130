"""A formula as a worksheet shows it. Those of a test method stand in its module, all others in `catalogue`."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Formula:
    """One formula. `from_memory`: the clause was not read in the current edition; check it before quoting it."""

    id: str
    title: str
    formula: str
    source: str
    from_memory: bool = True
