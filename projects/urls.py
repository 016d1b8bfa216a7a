"""Every view module lists its own addresses; here they are joined."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
