"""The table that `check_examples` prints, as lines of text."""

from collections.abc import Iterator
from typing import Final

from compaction.examples.check import DEVIATES, Checked
from compaction.examples.files import FileReport

HEADINGS: Final = ("example", "quantity", "printed", "computed", "tolerance", "verdict", "findings")


def rows(report: FileReport) -> Iterator[tuple[str, ...]]:
    """One row a figure; the findings stand on the first row of their example."""
    for one in report.checked:
        findings = ", ".join(one.findings)
        lines = one.lines or ()
        for number, line in enumerate(lines):
            yield (
                one.id if number == 0 else "",
                line.quantity,
                line.printed,
                line.computed,
                line.tolerance,
                line.verdict,
                findings if number == 0 else "",
            )
        if not lines:
            yield (one.id, "", "", "", "", one.verdict, findings)
        elif one.verdict == "error found":
            yield ("", "the wrong print", "", "", "", one.verdict, "")
        for remark in one.remarks:
            yield ("", remark, "", "", "", DEVIATES, "")


def text(reports: list[FileReport]) -> Iterator[str]:
    """The table of all files, in columns as wide as they need to be; long cells of the last column run on."""
    made = [(report.name, list(rows(report))) for report in reports if report.checked]
    all_rows = [HEADINGS, *(row for _, some in made for row in some if row[3] or row[2] or not row[1])]
    widths = [min(44, max(len(row[column]) for row in all_rows)) for column in range(len(HEADINGS))]

    def line(row: tuple[str, ...]) -> str:
        return "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()

    yield line(HEADINGS)
    yield "  ".join("-" * width for width in widths)
    for name, some in made:
        yield f"# {name}"
        for row in some:
            yield line(row)


def summary(reports: list[FileReport]) -> str:
    """How many examples and figures were compared, and with what result."""
    checked = [one for report in reports for one in report.checked]
    figures = sum(len(one.lines) for one in checked)
    found = sum(one.verdict == "error found" for one in checked)
    deviating = [one.id for one in checked if one.verdict == DEVIATES]
    problems = sum(len(report.problems) for report in reports)
    said = f"{len(checked)} examples, {figures} figures, {found} wrong prints found, {len(deviating)} deviations"
    said += f" ({', '.join(deviating)})" if deviating else ""
    return f"{said}, {problems} that could not be read."


def wrong(reports: list[FileReport]) -> bool:
    """Whether anything deviates or could not be read."""
    return any(report.problems or any(one.verdict == DEVIATES for one in report.checked) for report in reports)


def of_one(checked: Checked) -> str:
    """What deviates in one example, for a sentence: figures first, then remarks."""
    lines = [
        f"{line.quantity}: the example has {line.printed}, worked {line.computed or 'nothing'}"
        for line in checked.lines
        if line.verdict == DEVIATES
    ]
    return "; ".join([*lines, *checked.remarks])
