"""From a LandXML file and the answers to its open questions to the content of an alignment.

What a file leaves open is asked, never guessed: which alignment and profile, which foot, what the grade line
is, which coordinate stands first. While a question is open there is no content.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.geometry.landxml.directions import convention_found
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.numbers import NORTH_EAST, optional_number
from projects.geometry.landxml.open_points import Answers, Question, Work, order_of, plan_in_order, units
from projects.geometry.landxml.plan_reading import ERROR, ElementClosure, PlanReading, Remark
from projects.geometry.landxml.profiles import design_profiles, read_equations, read_profile
from projects.geometry.landxml.safe_xml import LandXmlError, Node
from projects.geometry.plain_content import plain_decimal

SURFACES = ("finished grade", "top of subgrade", "top of fill")
_LENGTH_WARNING = 0.01


@dataclass(frozen=True)
class Imported:
    """The content (None while a question is open), what was found in the file, and what is wrong with it."""

    content: dict[str, Any] | None
    alignment: str
    unit: str
    order: str
    facts: tuple[tuple[str, str], ...]
    questions: tuple[Question, ...] = ()
    remarks: tuple[Remark, ...] = ()
    closures: tuple[ElementClosure, ...] = ()

    @property
    def has_errors(self) -> bool:
        """Whether the geometry contradicts itself so far that it should not be used."""
        return any(severity == "error" for _, severity, _ in self.remarks)


def import_alignment(
    document: Document, answers: Answers, *, epsg: int | None = None, source: Mapping[str, str] | None = None
) -> Imported:
    """One alignment of the file. `epsg` is the project's grid; `source` is kept with the content (file, digest).

    Raises `LandXmlError` for geometry that cannot be read and for answers that do not fit the file.
    """
    work = Work(document, answers, epsg)
    name = _alignment(work)
    facts = [("File", _file_words(document)), ("Linear unit written", document.unit_written or "none")]
    if document.coordinate_system or document.epsg:
        code = f"EPSG {document.epsg}" if document.epsg else ""
        facts.append(("Coordinate system written", " · ".join(filter(None, (code, document.coordinate_system)))))
    if not name:
        return Imported(None, "", "", "", tuple(facts), tuple(work.questions), tuple(work.remarks))
    node = document.alignments[name]
    geometry = [child for child in node.children if child.name == "CoordGeom"]
    if len(geometry) != 1:
        raise LandXmlError(
            f"The alignment “{name}” has {len(geometry) or 'no'} CoordGeom elements; exactly one is read. An alignment "
            "given by points of intersection alone is entered as a PI table."
        )
    unit, coordinate_unit = units(work)
    order = order_of(work, geometry[0], coordinate_unit)
    order, plan = plan_in_order(work, geometry[0], order)
    work.remarks += plan.remarks
    facts.append(
        (
            "Order of coordinates",
            "northing first, as the schema has it" if order == NORTH_EAST else "easting first",
        )
    )
    facts.append(("Directions", convention_found(plan.directions, document.direction_unit)))
    start = _start(work, node)
    _check_length(work, node, plan)
    equations = read_equations(node, start=start)
    work.remarks += equations.remarks
    profile = _profile(work, node)
    content = None
    if not work.questions:
        content = {
            "kind": "elements",
            "unit": unit,
            "coordinate_unit": coordinate_unit,
            "start_station": plain_decimal(start),
            "elements": plan.rows,
            "equations": equations.rows,
            "profile": profile,
            "source": {"format": _file_words(document)[:120], "alignment": name, **dict(source or {})},
        }
    return Imported(
        content, name, unit, order, tuple(facts), tuple(work.questions), tuple(work.remarks), tuple(plan.closures)
    )


def _file_words(document: Document) -> str:
    version = f"LandXML {document.version}" if document.version else "LandXML, no version stated"
    return f"{version}{', written by ' + document.application if document.application else ''}"


def _alignment(work: Work) -> str:
    names = list(work.document.alignments)
    wanted = work.answers.alignment
    if wanted and wanted not in names:
        raise LandXmlError(f"There is no alignment “{wanted[:60]}” in the file. It holds: {', '.join(names[:20])}.")
    if not wanted and len(names) > 1:
        work.questions.append(
            Question(
                "alignment",
                f"The file holds {len(names)} alignments. Which one is wanted?",
                tuple((n, n) for n in names),
            )
        )
        return ""
    return wanted or names[0]


def _start(work: Work, node: Node) -> Decimal:
    start = optional_number(node, "staStart", "The alignment")
    if start is None:
        work.remarks.append(("no-start-station", "warning", "The file has no start station (staStart); 0 is taken."))
    return start or Decimal(0)


def _check_length(work: Work, node: Node, plan: PlanReading) -> None:
    stated = optional_number(node, "length", "The alignment")
    if stated is None or stated == 0:
        return
    apart = float(stated) - plan.length
    if abs(apart) > _LENGTH_WARNING:
        severity = "warning" if abs(apart) > ERROR else "information"
        words = "more" if apart > 0 else "less"
        work.remarks.append(
            ("length-differs", severity, f"The alignment's stated length is {abs(apart):.4f} {words} than the sum of "
             f"its elements, {plan.length:.4f}. Stations follow the elements.")
        )  # fmt: skip


def _profile(work: Work, node: Node) -> dict[str, Any] | None:
    designs = design_profiles(node)
    wanted = work.answers.profile
    if not designs:
        return None
    if wanted and wanted not in designs:
        raise LandXmlError(f"There is no profile “{wanted[:60]}” in the file. It holds: {', '.join(designs)}.")
    if wanted is None and len(designs) > 1:
        options = (*((name, name) for name in designs), ("", "none of them"))
        work.questions.append(Question("profile", "Which profile is the design grade?", options))
        return None
    if wanted == "":
        return None
    name = wanted or next(iter(designs))
    if not work.answers.surface:
        work.questions.append(
            Question("surface", f"What is the profile “{name}”: the finished grade, the top of subgrade, the top of "
                     "fill? The plan sheet says. Depth and lift are counted from it.")
        )  # fmt: skip
    return {"surface": work.answers.surface[:60] or "not stated", "points": read_profile(designs[name])}


__all__ = ["SURFACES", "Answers", "Imported", "Question", "import_alignment"]
