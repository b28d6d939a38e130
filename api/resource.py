"""The view that every address of the API is: declared operations, strict query, an opened project."""

import uuid
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, ClassVar

from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.errors import Problem
from api.operations import Operation, read_query
from api.parsing import Document
from projects.access import Open


class Resource(APIView):
    """An address outside any project. Subclasses declare `operations` and write `get`, `put`, `post`."""

    operations: ClassVar[dict[str, Operation]] = {}
    whole_project: ClassVar[bool] = False  # not for a key that reads only its own records
    tag: ClassVar[str] = ""
    metadata_class = None
    query: dict[str, Any]

    @property
    def policy(self) -> dict[str, str]:
        """Method -> right, for `permissions.DeclaredPolicy`."""
        return {method: operation.needs for method, operation in self.operations.items()}

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Query first (a key in the address is told before anything else), then who, then what they may."""
        method = "GET" if request.method == "HEAD" else request.method or ""
        if method in self.operations:
            self.query = read_query(request.query_params, self.operations[method])
        super().initial(request, *args, **kwargs)

    def options(self, request: Any, *args: Any, **kwargs: Any) -> Response:
        """The methods that are there, in `Allow`."""
        return Response(status=204, headers={"Allow": ", ".join([*self.allowed_methods])})

    @property
    def allowed_methods(self) -> list[str]:
        """GET brings HEAD, and OPTIONS is always there."""
        return [*self.operations, *(["HEAD"] if "GET" in self.operations else []), "OPTIONS"]

    def document(self) -> Document:
        """The body as sent. Raises `Problem`."""
        sent = self.request.data
        if not isinstance(sent, Document):
            if self.request.content_type and not self.request.content_type.startswith("application/json"):
                raise exceptions.UnsupportedMediaType(self.request.content_type[:80])
            raise Problem("body-missing", "Send the record as a JSON body with its Content-Length.")
        return sent

    def members(self, *known: str, required: tuple[str, ...] = ()) -> dict[str, Any]:
        """The body as an object with no members but the known ones. Raises `Problem`."""
        return members(self.document().content, "", known, required)

    @property
    def now(self) -> datetime:
        """The moment of the request, as the actions get it."""
        return datetime.now(UTC)


class ProjectResource(Resource):
    """An address within a project, which `permissions.DeclaredPolicy` has opened."""

    opened: Open

    def address(self, *parts: object) -> str:
        """An address within the project."""
        return "/".join([f"/api/v1/projects/{self.opened.project.code}", *map(str, parts)])


def members(content: Any, pointer: str, known: tuple[str, ...], required: tuple[str, ...] = ()) -> dict[str, Any]:
    """An object of the body with its names checked. Raises `Problem`."""
    if not isinstance(content, Mapping):
        raise Problem(
            "content-unreadable",
            "The body must be a JSON object.",
            errors=[(pointer, "not-an-object", "This must be a JSON object.")],
        )
    errors = [
        (f"{pointer}", "unknown-member", f"{ascii(name)[:60]} is not known here; known: {', '.join(known)}.")
        for name in content
        if name not in known
    ]
    errors += [(f"{pointer}/{name}", "missing", f"'{name}' is missing.") for name in required if name not in content]
    if errors:
        raise Problem("content-unreadable", errors[0][2], errors=errors)
    return dict(content)


def client_uuid(written: Any, pointer: str) -> uuid.UUID:
    """An id inside a body: a UUID in its canonical lower-case form. Raises `Problem`."""
    try:
        found = uuid.UUID(written) if isinstance(written, str) else None
    except ValueError:
        found = None
    if found is None or str(found) != written:
        sentence = "An id is a UUID in lower case with hyphens (8-4-4-4-12 digits)."
        raise Problem("content-unreadable", sentence, errors=[(pointer, "not-a-uuid", sentence)])
    return found
