"""Every view module lists its own addresses; here they are joined."""

from django.urls import URLPattern

from .views import (
    account,
    backup,
    buying,
    clients,
    cloth,
    deleted,
    hours,
    lays,
    lengths,
    notions,
    panels,
    people,
    pieces,
    projects,
    search,
    settings,
    sign_in,
    start_own,
    today,
)

urlpatterns: list[URLPattern] = [
    *backup.urlpatterns,
    *hours.urlpatterns,
    *cloth.urlpatterns,
    *lays.urlpatterns,
    *lengths.urlpatterns,
    *notions.urlpatterns,
    *search.urlpatterns,
    *buying.urlpatterns,
    *clients.urlpatterns,
    *pieces.urlpatterns,
    *projects.urlpatterns,
    *today.urlpatterns,
    *account.urlpatterns,
    *deleted.urlpatterns,
    *people.urlpatterns,
    *settings.urlpatterns,
    *sign_in.urlpatterns,
    *start_own.urlpatterns,
    *panels.urlpatterns,
]
