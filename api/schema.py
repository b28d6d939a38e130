"""The OpenAPI 3.1 document, made from what the views declare and from the lists that the readers read by."""

from typing import Any, Final

from drf_spectacular.openapi import AutoSchema

from api import (
    components,
    coverage_components,
    failure_components,
    field_test_components,
    geometry_components,
    instrument_components,
    location_components,
    lot_components,
    problems,
    project_components,
    revision_components,
    specification_components,
    supervision_components,
    uncertainty_components,
)
from api.examples.bodies import EXAMPLES
from api.operations import Operation

PATH_PARAMETERS: Final[dict[str, dict[str, Any]]] = {
    "project": {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"},
    "code": {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"},
    "rev": {"type": "integer", "minimum": 1, "maximum": 99999},
}
ID: Final = {"type": "string", "format": "uuid", "pattern": components.UUID_PATTERN}
ALWAYS: Final = (
    "bad-request",
    "key-in-address",
    "not-signed-in",
    "not-found",
    "not-acceptable",
    "internal",
    "try-again",
)
WITH_BODY: Final = ("body-missing", "body-not-json", "body-too-large", "not-json", "csrf-failed")


class DeclaredSchema(AutoSchema):
    """Describes a view by its `operations` instead of by serializers, which there are none of."""

    def get_operation(self, path: str, path_regex: str, path_prefix: str, method: str, registry: Any) -> dict[str, Any]:
        """The description of one method of one address."""
        view: Any = self.view
        operation: Operation = view.operations[method.upper()]
        described: dict[str, Any] = {
            "operationId": f"{type(view).__name__[0].lower()}{type(view).__name__[1:]}{method.capitalize()}",
            "summary": operation.summary,
            "description": "\n\n".join(
                part
                for part in (operation.words or type(view).__doc__ or "", f"Right needed: `{operation.needs}`.")
                if part
            ),
            "tags": [view.tag],
            "security": [{"deviceKey": []}, {"pageSession": []}],
            "parameters": [*_in_path(path), *_in_query(operation), *_in_header(operation)],
            "responses": {**_answers(operation), **_refusals(operation)},
        }
        if operation.body:
            described["requestBody"] = {"required": True, "content": {"application/json": _media(operation.body)}}
        return described


def _in_path(path: str) -> list[dict[str, Any]]:
    names = [part.partition("}")[0] for part in path.split("{")[1:]]
    return [{"name": name, "in": "path", "required": True, "schema": PATH_PARAMETERS.get(name, ID)} for name in names]


def _in_query(operation: Operation) -> list[dict[str, Any]]:
    return [
        {"name": item.name, "in": "query", "description": item.words, "schema": dict(item.schema)}
        for item in operation.parameters
    ]


def _in_header(operation: Operation) -> list[dict[str, Any]]:
    if "not-current" not in operation.problems or operation.body not in ("Amendment", "PlacementBody"):
        return []
    words = "The ETag of the version that this one replaces."
    return [
        {
            "name": "If-Match",
            "in": "header",
            "description": words,
            "schema": {"type": "string", "pattern": '^"[1-9][0-9]*"$'},
        }
    ]


def _answers(operation: Operation) -> dict[str, Any]:
    titles = {
        200: "As it stands" if operation.body == "" else "On record already, or looked at",
        201: "Recorded",
        202: "Under way",
    }
    headers = {
        name: {"description": words, "schema": {"type": "string"}} for name, words in sorted(operation.headers.items())
    }
    return {
        str(status): {
            "description": titles[status],
            "content": {operation.media: _media(name)},
            **({"headers": headers} if headers else {}),
        }
        for status, name in operation.answers.items()
    }


def _refusals(operation: Operation) -> dict[str, Any]:
    codes = {*ALWAYS, *operation.problems, *(WITH_BODY if operation.body else ())}
    if operation.needs != "signed-in":
        codes.add("not-allowed")
    codes.update(("key-unknown", "key-expired", "key-revoked", "query-parameter"))
    by_status: dict[int, list[str]] = {}
    for code in sorted(codes):
        by_status.setdefault(problems.KINDS[code].status, []).append(code)
    return {
        str(status): {
            "description": "; ".join(f"`{code}`: {problems.KINDS[code].title}" for code in found),
            "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
        }
        for status, found in sorted(by_status.items())
    }


def _media(name: str) -> dict[str, Any]:
    examples = EXAMPLES.get(name)
    return {
        "schema": {"$ref": f"#/components/schemas/{name}"},
        **({"examples": {key: {"value": value} for key, value in examples.items()}} if examples else {}),
    }


def complete(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """Hook of drf-spectacular: the schemas that the operations name, and how to sign in."""
    schemas = {
        **coverage_components.schemas(),
        **failure_components.schemas(),
        **field_test_components.schemas(),
        **geometry_components.schemas(),
        **instrument_components.schemas(),
        **location_components.schemas(),
        **lot_components.schemas(),
        **project_components.schemas(),
        **revision_components.schemas(),
        **specification_components.schemas(),
        **supervision_components.schemas(),
        **uncertainty_components.schemas(),
    }
    schemas["Problem"]["examples"] = list(EXAMPLES["Problem"].values())
    result["components"] = {
        "schemas": dict(sorted(schemas.items())),
        "securitySchemes": {
            "deviceKey": {"type": "http", "scheme": "bearer", "description": "A key of a device: `Bearer llk_...`."},
            "pageSession": {
                "type": "apiKey",
                "in": "cookie",
                "name": "sessionid",
                "description": "A signed-in person's page.",
            },
        },
    }
    return result
