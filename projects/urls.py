"""Every view module lists its own addresses; here they are joined."""

from django.urls import URLPattern

from .views import (
    backup,
    buying,
    clients,
    cloth,
    hours,
    lengths,
    notions,
    pieces,
    projects,
    search,
    today,
)

urlpatterns: list[URLPattern] = [
    *backup.urlpatterns,
    *hours.urlpatterns,
    *cloth.urlpatterns,
    *lengths.urlpatterns,
    *notions.urlpatterns,
    *search.urlpatterns,
    *buying.urlpatterns,
    *clients.urlpatterns,
    *pieces.urlpatterns,
    *projects.urlpatterns,
    *today.urlpatterns,
]
