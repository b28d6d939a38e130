"""What a LandXML file says about itself: version, unit, coordinate system, and which alignments it holds."""

import re
from dataclasses import dataclass
from functools import cached_property

from projects.geometry.landxml.safe_xml import LandXmlError, Node, read_tree, reduced

# The linear units of the schema that an alignment here can have; the others are refused by name.
_UNITS = {"foot": "foot", "ussurveyfoot": "ftUS", "meter": "m", "metre": "m"}


@dataclass(frozen=True)
class Document:
    """A file that was read. `unit` is m, ftUS, `foot` (which foot has to be asked) or empty (not stated)."""

    root: Node

    @classmethod
    def read(cls, source: str | bytes) -> "Document":
        """Raises `LandXmlError` for what is not a LandXML file with alignments in a known unit."""
        document = cls(read_tree(source))
        if not document.alignments:
            raise LandXmlError(
                "The file holds no alignment. Export the alignment itself, not only surfaces or parcels."
            )
        _ = document.unit
        return document

    @property
    def version(self) -> str:
        """Version of the schema as written."""
        return self.root.get("version")[:20]

    @cached_property
    def application(self) -> str:
        """The producer as the file names it."""
        node = self.root.first("Application")
        return "" if node is None else " ".join(filter(None, (node.get("name"), node.get("version"))))[:80]

    @cached_property
    def _units(self) -> Node | None:
        units = self.root.first("Units")
        return units.children[0] if units is not None and units.children else None

    @cached_property
    def unit_written(self) -> str:
        """The linear unit as written, empty if not stated."""
        return "" if self._units is None else self._units.get("linearUnit")[:40]

    @cached_property
    def unit(self) -> str:
        """The linear unit. Raises `LandXmlError` for one that an alignment cannot have here."""
        written = self.unit_written
        if not written:
            return ""
        found = _UNITS.get(written.casefold())
        if found is None:
            raise LandXmlError(
                f"The file is in the unit “{written}”. Alignments are read in meter, foot or USSurveyFoot; export it "
                "in one of these."
            )
        return found

    @cached_property
    def direction_unit(self) -> str:
        """The unit of directions as declared; empty if not stated (radians by the schema)."""
        return "" if self._units is None else self._units.get("directionUnit")[:40]

    @cached_property
    def epsg(self) -> int | None:
        """The EPSG code of the file's coordinate system, if it names one."""
        node = self.root.first("CoordinateSystem")
        digits = re.fullmatch(r"(?:EPSG:+)?([0-9]{4,6})", "" if node is None else node.get("epsgCode"), re.IGNORECASE)
        return None if digits is None else int(digits[1])

    @cached_property
    def coordinate_system(self) -> str:
        """The coordinate system in the file's own words."""
        node = self.root.first("CoordinateSystem")
        if node is None:
            return ""
        parts = [
            node.get(name)
            for name in ("name", "desc", "horizontalDatum", "verticalDatum", "verticalCoordinateSystemName")
        ]
        return ", ".join(dict.fromkeys(filter(None, parts)))[:200]

    @cached_property
    def alignments(self) -> dict[str, Node]:
        """The alignments with geometry, by name; without a name they are numbered."""
        found: dict[str, Node] = {}
        for group in self.root.all("Alignments"):
            for node in group.all("Alignment"):
                name = (node.get("name") or f"alignment {len(found) + 1}")[:80]
                found[name if name not in found else f"{name} ({len(found) + 1})"] = node
        return found

    @cached_property
    def points(self) -> dict[str, Node]:
        """Named points that elements may refer to."""
        found: dict[str, Node] = {}
        waiting = list(self.root.all("CgPoints"))
        while waiting:
            node = waiting.pop()
            for child in node.children:
                if child.name == "CgPoint" and child.get("name"):
                    found.setdefault(child.get("name"), child)
                elif child.name == "CgPoints":
                    waiting.append(child)
        return found

    def reduced(self) -> str:
        """What was read, as a small file that reads the same."""
        return reduced(self.root)
