"""Keys of field devices: issue, show the secret once, revoke."""

from datetime import datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from projects import access
from projects.access import Open
from projects.actions import keys as key_actions
from projects.forms import KeyForm
from projects.models import DeviceKey, User
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("manage-keys")
def keys(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every key of the project. A new one is answered with its text, once; a page loaded again does not show it."""
    owners = {member.user.username: str(member.user) for member in access.roster(opened.project)}
    form = KeyForm(request.POST or None, owners=sorted(owners.items()))
    secret = ""
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            _, secret = key_actions.issue(
                opened=opened,
                owner=User.objects.get(username=given["owner"]),
                name=given["name"],
                scopes=given["scopes"],
                now=now,
                life=timedelta(days=given["days"]),
            )
            form = KeyForm(owners=sorted(owners.items()))
        except ValueError as error:
            form.add_error(None, str(error))
    found = DeviceKey.objects.filter(project=opened.project).select_related("owner")
    return show(
        request,
        opened,
        "projects/keys.html",
        keys=found,
        form=form,
        secret=secret,
        now=now,
        status=422 if form.errors else 200,
    )


@require_POST
@project_page("manage-keys")
def revoke(request: HttpRequest, opened: Open, now: datetime, public_id: str) -> HttpResponse:
    """End a key at once."""
    reason = request.POST.get("reason", "").strip()
    if not reason:
        messages.error(request, "Say why the key is revoked: lost, replaced, its holder left ...")
    else:
        key_actions.revoke(opened=opened, public_id=public_id, reason=reason[:500], now=now)
        messages.success(request, "The key is revoked. Records that wait on the device can be sent with a new one.")
    return redirect("keys", opened.project.code)
