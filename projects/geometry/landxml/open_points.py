"""What a LandXML file leaves open about its coordinates, asked and never guessed: which foot, which comes first."""

from dataclasses import dataclass, field

from projects.geometry import crs
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.numbers import EAST_NORTH, NORTH_EAST, point
from projects.geometry.landxml.plan import read_plan
from projects.geometry.landxml.plan_reading import PlanReading, Remark
from projects.geometry.landxml.safe_xml import LandXmlError, Node
from projects.geometry.linear_units import LINEAR_UNITS


@dataclass(frozen=True)
class Answers:
    """What the person says. Empty (or None for the profile, where "" means without one) is not answered yet."""

    alignment: str = ""
    profile: str | None = None
    unit: str = ""  # m | ft | ftUS
    order: str = ""  # north-east | east-north
    surface: str = ""


@dataclass(frozen=True)
class Question:
    """An open point: its member of `Answers`, the sentence, and what can be answered (empty: free text)."""

    name: str
    sentence: str
    options: tuple[tuple[str, str], ...] = ()


@dataclass
class Work:
    """An import under way: the file, what is answered, what is still asked, what was remarked."""

    document: Document
    answers: Answers
    epsg: int | None
    questions: list[Question] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)


def units(work: Work) -> tuple[str, str]:
    """Unit of lengths and of coordinates; a LandXML file has one for both."""
    stated, answered = work.document.unit, work.answers.unit
    if answered and answered not in LINEAR_UNITS:
        raise LandXmlError(f"The unit is one of {', '.join(LINEAR_UNITS)}.")
    if stated in LINEAR_UNITS:
        if answered and answered != stated:
            raise LandXmlError(f"The file says it is in {LINEAR_UNITS[stated].name}, the answer is {answered}.")
        return stated, stated
    grid_unit = _grid_unit(work.epsg or work.document.epsg)
    if stated == "foot":
        if answered == "m":
            raise LandXmlError("The file says it is in feet, the answer is m.")
        if not answered and grid_unit != "ft":
            hint = " The grid is in US survey feet." if grid_unit == "ftUS" else ""
            work.questions.append(
                Question(
                    "unit",
                    "The file says “foot”, which many files say for US survey feet too. Which foot are its coordinates "
                    f"in?{hint} The difference is 2 ft in a million.",
                    (("ftUS", "US survey foot"), ("ft", "international foot")),
                )
            )
        return answered or "ft", answered or "ft"
    if not answered:
        work.questions.append(
            Question("unit", "The file does not say its linear unit. Which one is it?",
                     tuple((unit.code, unit.name) for unit in LINEAR_UNITS.values()))
        )  # fmt: skip
    return answered or "m", answered or "m"


def _grid_unit(epsg: int | None) -> str:
    try:
        return crs.grid(epsg).unit.code if epsg else ""
    except crs.CoordinateSystemError:
        return ""


def order_of(work: Work, geometry: Node, unit: str) -> str:
    """Northing first, unless the answer says otherwise or the grid shows that it cannot be."""
    answered, epsg = work.answers.order, work.epsg or work.document.epsg
    if answered and answered not in (NORTH_EAST, EAST_NORTH):
        raise LandXmlError(f"The order of coordinates is {NORTH_EAST} or {EAST_NORTH}.")
    if work.epsg and work.document.epsg and work.epsg != work.document.epsg:
        work.remarks.append(
            ("other-grid", "warning", f"The file is in EPSG {work.document.epsg}, the project in EPSG {work.epsg}. "
             "Coordinates are not transformed; export the file in the project's grid.")
        )  # fmt: skip
    if not epsg:
        work.remarks.append(
            ("order-not-checked", "information", "Without a coordinate system the order of coordinates cannot be "
             "checked: the schema has northing first. The other way round mirrors the line; look at the drawing.")
        )  # fmt: skip
        return answered or NORTH_EAST
    fits = {order: _inside(geometry, work, order, unit, epsg) for order in (NORTH_EAST, EAST_NORTH)}
    wanted = answered or NORTH_EAST
    if fits[wanted]:
        return wanted
    other = EAST_NORTH if wanted == NORTH_EAST else NORTH_EAST
    if fits[other] and not answered:
        work.questions.append(
            Question("order", f"Northing first, as the schema has it, the line lies outside EPSG {epsg}; easting first "
                     "it lies inside. Are the coordinates exchanged in this file?",
                     ((EAST_NORTH, "yes, easting stands first"), (NORTH_EAST, "no, northing stands first")))
        )  # fmt: skip
    else:
        work.remarks.append(
            ("outside-grid", "warning", f"The line lies outside the area of EPSG {epsg}, so it will not be on the map. "
             "Are the coordinates ground or local coordinates, or in another unit?")
        )  # fmt: skip
    return wanted


def plan_in_order(work: Work, geometry: Node, order: str) -> tuple[str, PlanReading]:
    """The elements; where curves turn the wrong way in this order and the right way in the other, it is asked."""
    other = EAST_NORTH if order == NORTH_EAST else NORTH_EAST
    if any(question.name == "order" for question in work.questions):
        return other, read_plan(geometry, order=other, points=work.document.points)
    try:
        return order, read_plan(geometry, order=order, points=work.document.points)
    except LandXmlError as error:
        if work.answers.order:
            raise
        try:
            mirrored = read_plan(geometry, order=other, points=work.document.points)
        except LandXmlError:
            raise error from None
        against = str(error)
    work.questions.append(
        Question("order", f"Northing first, as the schema has it, the curves turn against what the file says: "
                 f"{against} "
                 "Easting first they fit. Are the coordinates exchanged in this file?",
                 ((EAST_NORTH, "yes, easting stands first"), (NORTH_EAST, "no, northing stands first")))
    )  # fmt: skip
    return other, mirrored


def _inside(geometry: Node, work: Work, order: str, unit: str, epsg: int) -> bool:
    for element in geometry.children:
        at = point(element.first("Start"), "Start", order=order, points=work.document.points)
        if at is not None:
            metres = LINEAR_UNITS[unit].metres
            try:
                crs.to_longitude_latitude(epsg, easting_m=float(at[0] * metres), northing_m=float(at[1] * metres))
            except crs.CoordinateSystemError:
                return False
            return True
    return False
