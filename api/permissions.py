"""What a caller may do: every view declares a right for each of its methods, and the project is opened with it."""

from datetime import UTC, datetime
from typing import Any

from rest_framework import exceptions
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from api.authentication import Credential
from projects import access
from projects.models import User

SIGNED_IN = "signed-in"  # for addresses that belong to no project


class DeclaredPolicy(BasePermission):
    """Opens `view.opened` with the right in `view.policy`; a method without one is not there."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """True for a caller with the right. Raises `access.NotFound`, `access.NotAllowed`, `MethodNotAllowed`."""
        needs = needed(view.policy, request.method or "")
        if needs is None:
            raise exceptions.MethodNotAllowed(request.method or "")
        if not request.user.is_authenticated:
            return False
        if "project" in view.kwargs:
            view.opened = opened(request, view.kwargs["project"], needs)
            if view.whole_project and view.opened.only_own:
                raise access.NotAllowed("read")
        return True


def needed(policy: dict[str, str], method: str) -> str | None:
    """The right that a method needs; HEAD is GET, OPTIONS shows what every member may know."""
    if method == "OPTIONS":
        return "read" if policy else None
    return policy.get("GET" if method == "HEAD" else method)


def opened(request: Request, code: str, needs: str) -> access.Open:
    """The project opened for the caller. Raises `access.NotFound` or `access.NotAllowed`."""
    number = getattr(request, "request_id", "")
    if isinstance(request.auth, Credential):
        return access.open_with_key(request.auth.key, code, roles=request.auth.roles, needs=needs, request_id=number)
    assert isinstance(request.user, User)
    return access.open_project(request.user, code, now=datetime.now(UTC), needs=needs, request_id=number)
