"""An alignment looked at before it is saved: from its content, or from a LandXML file and answers about it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from compaction.actions.place import GEOMETRY_ERRORS
from compaction.actions.refusals import Refused
from compaction.queries import alignments
from projects.access import Open
from projects.geometry.alignment import Alignment
from projects.geometry.alignment_report import AlignmentReport
from projects.geometry.landxml.document import Document
from projects.geometry.landxml.importing import Answers, Imported, import_alignment
from projects.geometry.landxml.safe_xml import LandXmlError, digest

ANSWERS: Final = ("alignment", "profile", "unit", "order", "surface")
Remark = tuple[str, str, str]


@dataclass(frozen=True)
class AlignmentPreview:
    """What would be saved (None while a question is open), what it looks like, and what is wrong with it."""

    content: dict[str, Any] | None
    line: Alignment | None
    report: AlignmentReport | None
    imported: Imported | None = None
    document: Document | None = None

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """Of the file first, then of the line that it makes."""
        return (*(self.imported.remarks if self.imported else ()), *(self.report.remarks if self.report else ()))

    @property
    def usable(self) -> bool:
        """Whether nothing is open and nothing contradicts itself."""
        return self.content is not None and all(severity != "error" for _, severity, _ in self.remarks)


def preview_content(opened: Open, content: Mapping[str, Any]) -> AlignmentPreview:
    """An alignment from its content, as it would be stored. Raises `Refused`."""
    opened.require("set-up")
    try:
        line = Alignment.from_plain(content)
        return AlignmentPreview(line.to_plain(), line, alignments.told(opened, line))
    except GEOMETRY_ERRORS as error:
        raise Refused(str(error), code="geometry-unreadable") from error


def preview_landxml(
    opened: Open,
    file: str | bytes,
    answers: Answers,
    *,
    file_name: str = "",
    sha256: str = "",
    more: Mapping[str, Any] | None = None,
) -> AlignmentPreview:
    """An alignment from a file. `more` are members that no file holds, such as the scale. Raises `Refused`."""
    opened.require("set-up")
    source = {"sha256": sha256 or digest(file)}
    if file_name:
        source["file"] = "".join(sign for sign in file_name if sign.isprintable())[:120]
    try:
        document = Document.read(file)
        imported = import_alignment(document, answers, epsg=opened.project.epsg_code, source=source)
    except LandXmlError as error:
        raise Refused(str(error), code="file-unreadable") from error
    if imported.content is None:
        return AlignmentPreview(None, None, None, imported, document)
    looked_at = preview_content(opened, {**imported.content, **(more or {})})
    return AlignmentPreview(looked_at.content, looked_at.line, looked_at.report, imported, document)
