"""Every view module lists its own addresses; here they are joined."""

from django.urls import URLPattern

from .views import hours

urlpatterns: list[URLPattern] = [
    *hours.urlpatterns,
]
