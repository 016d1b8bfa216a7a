"""Every view module lists its own addresses; here they are joined."""

from django.urls import URLPattern

from .views import cloth, hours, lengths, notions, search

urlpatterns: list[URLPattern] = [
    *hours.urlpatterns,
    *cloth.urlpatterns,
    *lengths.urlpatterns,
    *notions.urlpatterns,
    *search.urlpatterns,
]
