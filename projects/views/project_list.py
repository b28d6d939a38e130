"""The projects of a person, and a new one."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from projects import access
from projects.actions import projects
from projects.forms import ProjectForm


@require_safe
@login_required
def project_list(request: HttpRequest) -> HttpResponse:
    """Every project on which the person has a role today; whoever has just one is taken there."""
    found = access.visible_projects(request.user, now=timezone.now())  # type: ignore[arg-type]
    if len(found) == 1 and "all" not in request.GET and not request.user.has_perm("projects.add_project"):
        return redirect("today", found[0].code)
    return render(request, "projects/project_list.html", {"projects": found})


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("projects.add_project", raise_exception=True)
def new_project(request: HttpRequest) -> HttpResponse:
    """Open a project; whoever does so is its first administrator and engineer."""
    form = ProjectForm(request.POST or None, initial={"time_zone": "UTC"})
    if request.method == "POST" and form.is_valid():
        project = projects.create(
            user=request.user,  # type: ignore[arg-type]
            now=timezone.now(),
            request_id=getattr(request, "request_id", ""),
            **form.cleaned_data,
        )
        messages.success(request, f"{project.name} is open. The list below says what is still missing.")
        return redirect("set-up", project.code)
    return render(request, "projects/new_project.html", {"form": form}, status=422 if form.errors else 200)
