"""Who works on the project, since when and until when."""

from datetime import datetime

from django.contrib import messages
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from projects import access
from projects.access import Open
from projects.actions import people as people_actions
from projects.forms import EndMemberForm, MemberForm
from projects.models import User
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page()
def people(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The roster; an administrator adds to it."""
    form = MemberForm(request.POST or None)
    if request.method == "POST":
        opened.require("manage-people")
        if form.is_valid() and _add(form, opened, now):
            messages.success(request, f"{form.cleaned_data['username']} is on the roster.")
            return redirect("people", opened.project.code)
    members = access.roster(opened.project).order_by("user__username", "role")
    today = now.astimezone(opened.project.zone_info).date()
    return show(
        request,
        opened,
        "projects/people.html",
        members=members,
        form=form,
        today=today,
        status=422 if form.errors else 200,
    )


def _add(form: MemberForm, opened: Open, now: datetime) -> bool:
    given = form.cleaned_data
    user = User.objects.filter(username=given["username"]).first()
    with transaction.atomic():
        if user is None:
            user = _new_person(form)
        if user is None:
            return False
        people_actions.add_member(
            opened=opened,
            user=user,
            role=given["role"],
            now=now,
            valid_from=given["valid_from"],
            valid_until=given["valid_until"],
        )
    return True


def _new_person(form: MemberForm) -> User | None:
    given = form.cleaned_data
    first, _, last = given["full_name"].partition(" ")
    user = User(username=given["username"], first_name=first, last_name=last)
    if not given["password"]:
        form.add_error("username", "Nobody has this name. Check it, or give a first password to make a new person.")
        return None
    try:
        user.full_clean(exclude=["password"])
        validate_password(given["password"], user)
    except ValidationError as error:
        form.add_error("password" if not hasattr(error, "error_dict") else None, " ".join(error.messages))
        return None
    user.set_password(given["password"])
    user.save()
    return user


@require_POST
@project_page("manage-people")
def end(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """End a role after a day; the person stays on the roster for the days before."""
    form = EndMemberForm(request.POST)
    user = User.objects.filter(username=request.POST.get("username", "")).first()
    if form.is_valid() and user is not None:
        given = form.cleaned_data
        known = access.roster(opened.project).filter(user=user, role=given["role"]).first()
        if known is None:
            messages.error(request, f"{user.username} has no such role on this project.")
        elif known.valid_from and given["last_day"] < known.valid_from:
            messages.error(request, "That day lies before the first day of the role; choose a later one.")
        else:
            people_actions.end_membership(
                opened=opened, user=user, role=given["role"], last_day=given["last_day"], now=now
            )
            messages.success(request, f"{user.username} is {given['role']} until {given['last_day']}.")
    else:
        messages.error(request, "Give the last day of the role as a day.")
    return redirect("people", opened.project.code)
