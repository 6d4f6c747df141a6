"""Every kind of colour that a picture file holds, to 8-bit grey and alpha, or to 8-bit sRGB."""

import io

import numpy as np
from PIL import Image, ImageCms

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes

_BITS_PER_SAMPLE, _PHOTOMETRIC, _WHITE_IS_ZERO = 258, 262, 0
_CLOSE_TO_SRGB = 1
_BAND_PIXELS = 1 << 20
_PLAIN = {  # Pillow's mode -> the mode to read it in, with and without transparency told beside it
    "1": ("L", "LA"),
    "L": ("L", "LA"),
    "P": ("RGB", "RGBA"),
    "RGB": ("RGB", "RGBA"),
    "CMYK": ("RGB", "RGB"),
    "YCbCr": ("RGB", "RGB"),
    "RGBX": ("RGB", "RGB"),
    "LA": ("LA", "LA"),
    "La": ("LA", "LA"),
    "PA": ("RGBA", "RGBA"),
    "RGBA": ("RGBA", "RGBA"),
    "RGBa": ("RGBA", "RGBA"),
}


def grey_and_alpha(image: Image.Image, notes: list[Message]) -> tuple[Bytes, Bytes | None]:
    """The encoded luma and, where any pixel is not opaque, the alpha: both uint8 (rows, cols).

    image : decoded and upright; notes : gets what was decided on the way
    """
    plain = _plain(image, notes)
    alpha = plain.getchannel("A") if plain.mode in ("LA", "RGBA") else None
    if alpha is not None and alpha.getextrema() == (255, 255):
        alpha = None
    grey = plain if plain.mode == "L" else plain.convert("L")
    return np.asarray(grey), None if alpha is None else np.asarray(alpha)


def as_rgb(image: Image.Image, notes: list[Message]) -> Bytes:
    """The picture in sRGB, uint8 (rows, cols, 3), clear parts laid over white."""
    plain = _plain(image, notes)
    return np.asarray(plain) if plain.mode == "RGB" else _over_white(plain)


def _over_white(image: Image.Image) -> Bytes:
    """L, LA or RGBA laid over white, some rows at a time: whole, it would be in memory five times."""
    cols, rows = image.size
    out = np.empty((rows, cols, 3), np.uint8)
    band = max(1, _BAND_PIXELS // cols)
    for first in range(0, rows, band):
        band_image = image.crop((0, first, cols, min(rows, first + band))).convert("RGBA")
        white = Image.new("RGBA", band_image.size, "white")
        out[first : first + band] = np.asarray(Image.alpha_composite(white, band_image).convert("RGB"))
    return out


def _plain(image: Image.Image, notes: list[Message]) -> Image.Image:
    """The picture as L, LA, RGB or RGBA, in sRGB."""
    if image.mode.startswith("I;16"):
        image = _from_16_bit(image)
    if image.mode not in _PLAIN:
        raise BatikError("files.error.pixel_kind", got=_kind(image.mode), fix="files.error.pixel_kind.fix_bits")
    plain = _PLAIN[image.mode]["transparency" in image.info]
    profile = image.info.get("icc_profile")
    if profile:
        image = _in_srgb(image, profile, plain, notes)
    return image if image.mode == plain else image.convert(plain)


def _kind(mode: str) -> Message:
    return say(f"files.pixels.{mode.lower()}") if mode in ("F", "I", "LAB") else say("files.pixels.other", mode=mode)


def _from_16_bit(image: Image.Image) -> Image.Image:
    """16-bit (or 12-bit TIFF) grey to 8 bits: v/257 to the nearest, halves a little early, without overflow."""
    values = np.asarray(image)
    tags = getattr(image, "tag_v2", {})
    if tuple(tags.get(_BITS_PER_SAMPLE, ())) == (12,):
        values = values << 4 | values >> 8
    if tags.get(_PHOTOMETRIC) == _WHITE_IS_ZERO:
        values = ~values
    eight = np.empty(values.shape, np.uint8)
    for some, out in zip(values, eight, strict=True):  # row by row: whole, it would be in memory four times
        out[...] = (some - (some >> 8) + 128) >> 8
    grey = Image.fromarray(eight)
    clear = image.info.get("transparency")
    if isinstance(clear, int):
        grey.putalpha(Image.fromarray(np.where(values == clear, 0, 255).astype(np.uint8)))
    grey.info = {"icc_profile": image.info.get("icc_profile")}
    return grey


def _in_srgb(image: Image.Image, profile: bytes, plain: str, notes: list[Message]) -> Image.Image:
    """The picture by its colour profile; a broken or unfit profile is left out, and a note says so."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if image.mode not in ("L", "RGB", "RGBA", "CMYK"):
            image = image.convert(plain)
        if image.mode == "L":
            return image.point(_grey_curve(source))
        if image.mode == "LA":
            grey, alpha = image.split()
            return Image.merge("LA", (grey.point(_grey_curve(source)), alpha))
        out = "RGBA" if image.mode == "RGBA" else "RGB"
        to_srgb = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), image.mode, out)
        if image.mode != "CMYK" and _changes_nothing(to_srgb, image.mode):
            return image
        return to_srgb.apply(image)
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        notes.append(say("files.note.profile"))
        return image


def _grey_curve(source: ImageCms.ImageCmsProfile) -> list[int]:
    """What each of the 256 greys is in sRGB: one row of 256 pixels through the profile."""
    ramp = Image.fromarray(np.arange(256, dtype=np.uint8)[None])
    to_srgb = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), "L", "RGB")
    return [int(value) for value in np.asarray(to_srgb.apply(ramp).convert("L"))[0]]


def _changes_nothing(to_srgb: ImageCms.ImageCmsTransform, mode: str) -> bool:
    """Whether the profile is sRGB by another name: then millions of pixels need not go through it."""
    steps = np.linspace(0, 255, 6).astype(np.uint8)
    lattice = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(1, -1, 3)
    tried = Image.fromarray(lattice).convert(mode)
    moved = np.asarray(to_srgb.apply(tried).convert("RGB")).astype(int) - lattice
    return bool(np.abs(moved).max() <= _CLOSE_TO_SRGB)
