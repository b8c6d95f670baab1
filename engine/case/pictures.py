"""Pictures made ready for sending: upright, scaled down, and without anything that the camera wrote beside the picture.

Where and when a photograph was taken, with what, by whom and every comment stay behind, for only the picture points
are copied. A picture that was kept in another colour space is brought to sRGB first.
"""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image

LARGEST_FILE = 64 * 1024 * 1024
"""Largest file that is read [bytes]."""

MOST_POINTS = 120_000_000
"""Most picture points that are decoded; a file may claim more than it holds, to exhaust the memory."""

FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP")
"""The kinds of file that are read; of several pictures in one file the first counts."""

QUALITY = 82
"""The quality of the copy, on the scale of the JPEG library."""


class NotAPicture(Exception):
    """Content of which no copy can be made; the text says why, to follow the name of the file."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A copy fit to be sent: a JPEG of sRGB, and its size [picture points]."""

    content: bytes
    width: int
    height: int
    media_type: str = "image/jpeg"


def scaled_copy(content: bytes, longest_side: int) -> Picture:
    """A copy of a picture at most ``longest_side`` picture points long, never larger than the picture itself.

    The same content gives the same bytes with the same version of the picture library. NotAPicture for a file that
    is too large, of another kind, damaged, or that claims too many points. ValueError for a side below one.
    """
    if longest_side < 1:
        raise ValueError("longest_side must be at least 1")
    if len(content) > LARGEST_FILE:
        raise NotAPicture(f"has {len(content):,} bytes, more than the {LARGEST_FILE:,} that are read")
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of large pictures, for which the bound here counts, and of odd metadata
            with Image.open(io.BytesIO(content), formats=FORMATS) as image:
                return _copied(image, longest_side)
    except NotAPicture:
        raise
    except UnidentifiedImageError:
        raise NotAPicture(f"is no picture of a kind that is read ({', '.join(FORMATS)})") from None
    except Image.DecompressionBombError:
        raise NotAPicture(f"claims more than the {MOST_POINTS:,} picture points that are read") from None
    except Exception as fault:  # decoders of damaged content fail in many ways, none of them ours
        raise NotAPicture(f"is damaged ({type(fault).__name__})") from None


def _copied(image: Image.Image, longest_side: int) -> Picture:
    from PIL import Image, ImageOps

    if image.width * image.height > MOST_POINTS:
        raise NotAPicture(f"has {image.width} × {image.height} picture points; at most {MOST_POINTS:,} are read")
    image.draft("RGB", (2 * longest_side, 2 * longest_side))  # a JPEG is decoded at a fraction of its size
    upright = ImageOps.exif_transpose(image)
    plain = _in_srgb(upright)
    plain.thumbnail((longest_side, longest_side), Image.Resampling.LANCZOS)
    bare = Image.new("RGB", plain.size, "white")  # nothing but the points comes with it
    bare.paste(plain, mask=plain.getchannel("A") if plain.mode == "RGBA" else None)
    target = io.BytesIO()
    bare.save(target, "JPEG", quality=QUALITY, subsampling="4:2:0", optimize=False, progressive=False)
    return Picture(target.getvalue(), *bare.size)


def _in_srgb(image: Image.Image) -> Image.Image:
    """The picture as RGB, or RGBA where parts of it are transparent, by its own colour profile where it has one."""
    clear = image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info
    mode, profile = "RGBA" if clear else "RGB", image.info.get("icc_profile")
    if image.mode.startswith("I;16"):
        image = image.point(lambda value: value / 256, "L")
    if profile and image.mode in ("RGB", "CMYK"):
        from PIL import ImageCms

        try:
            own, standard = ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
            changed = ImageCms.profileToProfile(image, own, standard, outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError):
            changed = None  # a damaged profile: the points as they are
        if changed is not None:
            return changed
    return image.copy() if image.mode == mode else image.convert(mode)
