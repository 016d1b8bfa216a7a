"""A photograph as an image of the page."""

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from projects.activities.photos import SIZES
from projects.models import Photo

register = template.Library()


@register.simple_tag
def photo_image(photo: Photo, size: str) -> SafeString:
    """The image in one of the sizes kept, with room held for it before it is loaded.

    A caption stands beside it on every page, so the image says something only where there is none.
    """
    longest = max(photo.width, photo.height)
    scale = min(1.0, SIZES[size] / longest)
    return format_html(
        '<img src="{}" width="{}" height="{}" alt="{}" loading="lazy" decoding="async">',
        reverse("photo_file", args=[photo.key, size]),
        max(1, round(photo.width * scale)),
        max(1, round(photo.height * scale)),
        "" if photo.caption else f"Photograph {photo.pk}",
    )
