"""Addresses of sign-in, projects, people and keys."""

from django.contrib.auth import views as auth_views
from django.urls import path

from projects.forms import SignInForm
from projects.views import keys, people, project_list

urlpatterns = [
    path(
        "sign-in",
        auth_views.LoginView.as_view(
            template_name="projects/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
        ),
        name="login",
    ),
    path("sign-out", auth_views.LogoutView.as_view(), name="logout"),
    path("", project_list.project_list, name="project-list"),
    path("new", project_list.new_project, name="new-project"),
    path("p/<slug:code>/people", people.people, name="people"),
    path("p/<slug:code>/people/end", people.end, name="people-end"),
    path("p/<slug:code>/keys", keys.keys, name="keys"),
    path("p/<slug:code>/keys/<slug:public_id>/revoke", keys.revoke, name="key-revoke"),
]
