"""Where the crew was before a test whose place is open: a hint beside the question, never its answer."""

from compaction.models import Test
from compaction.queries.rows import TestRow, day_range
from projects.access import Open

#: the finding that asks which of several places is meant
QUESTION = "station-ambiguous"


def previous_place(opened: Open, row: TestRow) -> str:
    """A sentence on the last placed test of the same person and project-local day; empty where there is none."""
    start, _ = day_range(opened.project, row.performed_at.astimezone(opened.project.zone_info).date())
    before = (
        Test.objects.filter(
            project=opened.project, voided=False, technician=row.technician, performed_at__gte=start,
            performed_at__lt=row.performed_at, station_m__isnull=False,
        )
        .order_by("-performed_at", "-id")
        .first()
    )  # fmt: skip
    if before is None:
        return ""
    where = f"{before.alignment} {before.station_text}, {before.offset_text}"
    return (
        f"The test before on that day, {before}, was on {where}. That is a hint only; amend this test with its "
        "alignment or station."
    )
