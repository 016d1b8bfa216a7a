"""All addresses. Each view module lists its own; this puts them together."""

from django.urls import include, path

urlpatterns = [path("", include("projects.urls"))]

handler400 = "projects.views.errors.bad_request"
handler403 = "projects.views.errors.forbidden"
handler404 = "projects.views.errors.missing"
handler500 = "projects.views.errors.broken"
