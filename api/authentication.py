"""Who asks: a device by its key, or a person at a page by the session."""

import re
from datetime import UTC, datetime
from typing import Any

from rest_framework import authentication, exceptions
from rest_framework.request import Request

from api.errors import Problem
from projects.actions import keys
from projects.models import DeviceKey, User

REALM = 'Bearer realm="api"'
_KEY = re.compile(r"llk_[0-9a-f]{16}_[A-Za-z0-9-]{20,64}_[0-9a-f]{8}", re.ASCII)
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


class Credential:
    """What a key brought: the key's row and the roles that its owner has today."""

    def __init__(self, key: DeviceKey, roles: frozenset[str]) -> None:
        self.key, self.roles = key, roles


class DeviceKeyAuthentication(authentication.BaseAuthentication):
    """`Authorization: Bearer llk_...`; one statement for a key that was used in the last five minutes."""

    def authenticate(self, request: Request) -> tuple[User, Credential] | None:
        """The owner and the credential; None without the header. Raises `Problem`."""
        header = request.META.get("HTTP_AUTHORIZATION")
        if header is None:
            return None
        scheme, _, text = header.partition(" ")
        if scheme.lower() != "bearer":
            raise Problem(
                "key-unknown",
                "Only keys are taken in this header: Authorization: Bearer llk_...",
                headers={"WWW-Authenticate": REALM},
            )
        try:
            if _KEY.fullmatch(text) is None:
                raise keys.KeyRefused("unknown", "This is not a key of this service. Check that it was copied whole.")
            key, roles = keys.authenticate(text, now=datetime.now(UTC))
        except keys.KeyRefused as refused:
            raise Problem(
                f"key-{refused.code}",
                str(refused),
                headers={"WWW-Authenticate": f'{REALM}, error="invalid_token", error_description="{refused.code}"'},
            ) from None
        return key.owner, Credential(key, roles)

    def authenticate_header(self, request: Request) -> str:
        """What a 401 asks for."""
        return REALM


class PageSession(authentication.SessionAuthentication):
    """The session of a signed-in person; whatever changes something needs the page's token."""

    def enforce_csrf(self, request: Any) -> None:
        """Check the token, which has to come in the header: a body that is not JSON is never looked into."""
        if request.method not in SAFE and not request.content_type.startswith("application/json"):
            raise exceptions.UnsupportedMediaType(request.content_type[:80])
        try:
            super().enforce_csrf(request)
        except exceptions.PermissionDenied as refused:
            raise Problem("csrf-failed", str(refused.detail)) from None
