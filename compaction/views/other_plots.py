"""Drawings of references that are no single curve, alone or with a test on them."""

from collections.abc import Sequence
from contextlib import suppress
from decimal import Decimal

from compaction.calculations.errors import CalculationError
from compaction.calculations.relative_density import dry_density_at_relative_density_kgm3
from compaction.facts import CriterionResult, Outcome, ReferenceFacts
from compaction.plots import density_line, family_of_curves
from compaction.plots.density_line import Level, Shown
from compaction.plots.family_of_curves import OnePointMark
from compaction.plots.scale import Scale, plain
from compaction.register import VOIDED, TestRow, mark

#: kinds of reference that are drawn here
KINDS = ("index_density", "control_strip", "family")


def drawn(
    reference: ReferenceFacts,
    *,
    members: Sequence[ReferenceFacts],
    rows: Sequence[TestRow],
    scale: Scale,
    about: tuple[TestRow, Outcome] | None = None,
    water_density_kgm3: Decimal = Decimal(1000),
) -> bytes:
    """The drawing of a reference of `KINDS`; `rows` are the tests on it, newest first, `about` the one looked at."""
    if reference.kind == "family":
        return family_of_curves.draw(
            reference.code,
            members,
            scale=scale,
            one_point=_one_point(about),
            specific_gravity=reference.specific_gravity,
            water_density_kgm3=water_density_kgm3,
        )
    shown = [
        Shown(row.dry_density_kgm3, mark(row), f"Test {row.name}", about is not None and row.uuid == about[0].uuid)
        for row in reversed(rows)
        if row.dry_density_kgm3 is not None and mark(row) != VOIDED
    ]
    criteria = about[1].criteria if about else ()
    return density_line.draw(f"{reference.code} rev {reference.rev}", _levels(reference, criteria), shown, scale=scale)


def _levels(reference: ReferenceFacts, criteria: Sequence[CriterionResult]) -> list[Level]:
    highest, lowest = reference.maximum_dry_density_kgm3, reference.minimum_index_density_kgm3
    least = {one.quantity: one.minimum for one in criteria if one.contractual and one.minimum is not None}
    if reference.kind == "control_strip" or lowest is None:
        levels = [Level(highest, "maximum of the strip")]
        if "percent_compaction" in least:
            wanted = least["percent_compaction"]
            levels.append(Level(highest * wanted / 100, f"{plain(wanted)} % of it, required", strong=False))
        return levels
    levels = [Level(highest, "maximum index density"), Level(lowest, "minimum index density")]
    if "relative_density" in least:
        with suppress(CalculationError):  # a limit that no density of this sand belongs to has no line
            at = dry_density_at_relative_density_kgm3(
                relative_density_pct=least["relative_density"],
                minimum_index_density_kgm3=lowest,
                maximum_index_density_kgm3=highest,
            )
            levels.append(Level(at, f"relative density {plain(least['relative_density'])} %, required", strong=False))
    return levels


def _one_point(about: tuple[TestRow, Outcome] | None) -> OnePointMark | None:
    if about is None:
        return None
    step = next((one for one in about[1].steps if one.result_name == "one_point_dry_density_kgm3"), None)
    if step is None:
        return None
    figures = about[1].figures
    return OnePointMark(
        water_content_pct=step.numbers["one_point_water_content_pct"],
        dry_density_kgm3=step.result,
        optimum_water_content_pct=figures.get("one_point_optimum_water_content_pct"),
        maximum_dry_density_kgm3=figures.get("one_point_maximum_dry_density_kgm3"),
        label=f"one point of test {about[0].name}",
    )
