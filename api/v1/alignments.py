"""Alignments and areas read: lists, one revision with its computed elements, and a look before saving."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.site import content_of
from compaction.actions import alignment_previews
from compaction.actions.alignment_previews import AlignmentPreview
from compaction.queries import alignments
from compaction.queries.alignments import GeometryLine
from projects.geometry.landxml.importing import Answers, Imported

LONGEST_ANSWER = 80


def revision(line: GeometryLine) -> dict[str, Any]:
    """A revision without its content."""
    shown = answers.plain(line)
    del shown["content"]
    return dict(shown)


def remark(one: tuple[str, str, str]) -> dict[str, str]:
    """Something a surveyor would ask about."""
    return {"code": one[0], "severity": one[1], "sentence": one[2]}


class GeometryList(ProjectResource):
    """Every code with its revisions, oldest first."""

    tag = "site"


class AlignmentList(GeometryList):
    """Alignments of the project."""

    operations = {"GET": Operation(needs="read", summary="List alignments", answers={200: "GeometryList"})}

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        return Response(listed(alignments.alignment_lines(self.opened)))


class AreaList(GeometryList):
    """Zones, exempt areas and declared work of the project."""

    operations = {"GET": Operation(needs="read", summary="List areas", answers={200: "GeometryList"})}

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        return Response(listed(alignments.area_lines(self.opened)))


def listed(found: dict[str, list[GeometryLine]]) -> dict[str, Any]:
    """A list by code."""
    return {"items": [{"code": code, "revisions": [revision(line) for line in lines]} for code, lines in found.items()]}


class AlignmentPreviewView(ProjectResource):
    """An alignment looked at before it is saved."""

    tag = "site"
    operations = {
        "POST": Operation(
            needs="set-up",
            summary="Preview an alignment",
            words=(
                "From its content, or from the text of a LandXML file with answers to what the file leaves open. "
                "Nothing is stored; save `content` of the answer with PUT. While a question is open there is none."
            ),
            body="AlignmentToPreview",
            answers={200: "AlignmentPreview"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Look at it."""
        sent = self.members("content", "landxml", "answers", "scale", "file_name")
        if ("content" in sent) == ("landxml" in sent):
            sentence = "Give either 'content' or 'landxml'."
            raise Problem("content-unreadable", sentence, errors=[("", "one-of-two", sentence)])
        if "content" in sent:
            looked_at = alignment_previews.preview_content(self.opened, content_of(sent))
        else:
            more = {"scale": sent["scale"]} if sent.get("scale") is not None else {}
            looked_at = alignment_previews.preview_landxml(
                self.opened,
                _text(sent["landxml"], "/landxml"),
                _answers(sent.get("answers", {})),
                file_name=_text(sent.get("file_name", ""), "/file_name")[:120],
                more=more,
            )
        return Response(previewed(looked_at))


def _text(value: Any, pointer: str) -> str:
    if not isinstance(value, str):
        sentence = "Text is taken here."
        raise Problem("content-unreadable", sentence, errors=[(pointer, "not-text", sentence)])
    return value


def _answers(sent: Any) -> Answers:
    errors: list[tuple[str, str, str]] = []
    if not isinstance(sent, dict):
        raise Problem("content-unreadable", errors=[("/answers", "not-an-object", "This must be a JSON object.")])
    for name, value in sent.items():
        if name not in alignment_previews.ANSWERS:
            known = ", ".join(alignment_previews.ANSWERS)
            errors.append(("/answers", "unknown-member", f"{ascii(name)[:60]} is not known here; known: {known}."))
        elif not isinstance(value, str) or len(value) > LONGEST_ANSWER or not value.isprintable():
            sentence = f"Text of at most {LONGEST_ANSWER} printable characters is taken here."
            errors.append((f"/answers/{name}", "text-not-plain", sentence))
    if errors:
        raise Problem("content-unreadable", errors[0][2], errors=errors)
    return Answers(**sent)


def previewed(looked_at: AlignmentPreview) -> dict[str, Any]:
    """The answer to a preview."""
    imported = looked_at.imported
    return {
        "usable": looked_at.usable,
        "content": looked_at.content,
        "report": None if looked_at.report is None else answers.plain(looked_at.report),
        "file": None if imported is None else _file(imported),
        "questions": [] if imported is None else [_question(one) for one in imported.questions],
        "remarks": [remark(one) for one in looked_at.remarks],
    }


def _file(imported: Imported) -> dict[str, Any]:
    return {
        "alignment": imported.alignment,
        "facts": [{"name": name, "value": value} for name, value in imported.facts],
        "closures": answers.plain(imported.closures),
    }


def _question(one: Any) -> dict[str, Any]:
    options = [{"value": value, "words": words} for value, words in one.options]
    return {"name": one.name, "sentence": one.sentence, "options": options}
