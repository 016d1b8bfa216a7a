"""Any picture as plain red, green and blue (sRGB), the way a browser and a printer expect it."""

from io import BytesIO

from PIL import Image, ImageCms

MOST_PROFILE = 4_000_000
"""Bytes of a colour profile that are looked at; real ones have some thousands."""

SRGB = ImageCms.createProfile("sRGB")


def countable(image: Image.Image) -> Image.Image:
    """The same picture in a mode that can be made smaller: no palette, 8 bits a channel."""
    if image.mode in ("RGB", "RGBA", "L", "CMYK") and "transparency" not in image.info:
        return image
    if image.mode.startswith("I"):
        # Sixteen bits a channel; converting alone would cut off at 255 instead of dividing.
        return image.point(lambda value: value / 256).convert("L")
    if image.mode in ("LA", "La", "PA", "RGBa", "RGBA") or "transparency" in image.info:
        return image.convert("RGBA")
    return image.convert("L" if image.mode == "1" else "RGB")


def to_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Transparent parts on white, colours by the picture's own profile where that can be read."""
    if image.mode == "RGBA":
        ground = Image.new("RGB", image.size, "white")
        ground.paste(image, mask=image.getchannel("A"))
        image = ground
    if profile and len(profile) <= MOST_PROFILE:
        try:
            made = ImageCms.profileToProfile(image, BytesIO(profile), SRGB, outputMode="RGB")
        except Exception:  # noqa: S110
            # A profile that is broken or meant for other channels is passed over: the picture still shows.
            made = None
        if made is not None:
            return made
    return image.convert("RGB")
