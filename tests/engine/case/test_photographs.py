"""Photographs of a case: found, held to their digests, copied upright, small and without metadata."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings
from PIL import Image, ImageCms, PngImagePlugin

from engine.case.models import Case
from engine.case.photographs import read_photographs
from engine.case.pictures import MOST_POINTS, NotAPicture, scaled_copy
from engine.errors import InvalidInput

GPS, ORIENTATION, MAKER, ARTIST, COMMENT = 0x8825, 0x0112, 0x010F, 0x013B, 0x9286


def case_with(*photographs: dict[str, Any]) -> Case:
    return Case.model_validate(
        {
            "format": 1,
            "id": "pictures",
            "title": "invented",
            "dwelling": {"title": "invented house"},
            "visits": ({"id": "first", "on": "2026-03-11"},),
            "areas": ({"id": "room", "title": "Room", "photographs": tuple(photographs)},),
        }
    )


def quartered(width: int = 400, height: int = 300) -> Image.Image:
    """Red at the top left, green at the top right, blue at the bottom left, white at the bottom right."""
    image = Image.new("RGB", (width, height), "white")
    image.paste((255, 0, 0), (0, 0, width // 2, height // 2))
    image.paste((0, 255, 0), (width // 2, 0, width, height // 2))
    image.paste((0, 0, 255), (0, height // 2, width // 2, height))
    return image


def jpeg(image: Image.Image, **options: Any) -> bytes:
    target = io.BytesIO()
    image.save(target, "JPEG", quality=95, **options)
    return target.getvalue()


def exif(orientation: int) -> Image.Exif:
    data = Image.Exif()
    data[ORIENTATION], data[MAKER], data[ARTIST] = orientation, "Camera of Mrs Invented", "Mrs Invented"
    data.get_ifd(GPS)[2] = (51.0, 30.0, 26.5)
    data.get_ifd(0x8769)[COMMENT] = b"ASCII\0\0\0taken at home"
    return data


def near(point: tuple[int, ...], colour: tuple[int, int, int]) -> bool:
    return all(abs(a - b) < 24 for a, b in zip(point, colour, strict=True))


# The eight orientations of the Exif standard (CIPA DC-008, tag 0x0112), from memory: what must be done to what is
# stored so that it stands upright. Stored here is the inverse of each, so that every copy must look alike.
TURNED = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


@pytest.mark.parametrize("orientation", TURNED)
def test_a_copy_stands_upright_however_the_camera_was_held(orientation: int) -> None:
    turned = TURNED[orientation]
    stored = quartered() if turned is None else quartered().transpose(turned)
    copy = scaled_copy(jpeg(stored, exif=exif(orientation)), 200)
    image = Image.open(io.BytesIO(copy.content)).convert("RGB")
    assert image.size == (copy.width, copy.height) == (200, 150)
    assert near(image.getpixel((40, 30)), (255, 0, 0))
    assert near(image.getpixel((160, 30)), (0, 255, 0))
    assert near(image.getpixel((40, 120)), (0, 0, 255))
    assert near(image.getpixel((160, 120)), (255, 255, 255))


def segments(content: bytes) -> set[int]:
    """The markers of a JPEG file before its picture data (ISO/IEC 10918-1, annex B, from memory)."""
    found, place = set(), 2
    while content[place] == 0xFF and content[place + 1] != 0xDA:
        found.add(content[place + 1])
        place += 2 + struct.unpack(">H", content[place + 2 : place + 4])[0]
    return found


def test_a_copy_carries_nothing_that_the_camera_wrote_beside_the_picture() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    content = jpeg(quartered(), exif=exif(1), comment=b"Flat 2, Invented Street", icc_profile=profile, dpi=(72, 72))
    assert b"Invented" in content
    copy = scaled_copy(content, 300).content
    assert b"Invented" not in copy
    assert b"Exif" not in copy
    assert b"taken at home" not in copy
    application_and_comment = {0xFE, *range(0xE1, 0xF0)}
    assert not segments(copy) & application_and_comment
    assert segments(content) & application_and_comment
    opened = Image.open(io.BytesIO(copy))
    assert not opened.getexif()
    assert set(opened.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_text_inside_a_png_does_not_come_along_and_what_is_clear_becomes_white() -> None:
    image = Image.new("RGBA", (40, 30), (255, 0, 0, 0))
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Author", "Mrs Invented")
    target = io.BytesIO()
    image.save(target, "PNG", pnginfo=notes)
    copy = scaled_copy(target.getvalue(), 1_000)
    assert (copy.width, copy.height) == (40, 30)
    assert b"Invented" not in copy.content
    assert near(Image.open(io.BytesIO(copy.content)).getpixel((20, 15)), (255, 255, 255))


def test_the_same_picture_gives_the_same_bytes() -> None:
    content = jpeg(quartered(), exif=exif(6))
    assert scaled_copy(content, 160) == scaled_copy(content, 160)


def claiming(width: int, height: int) -> bytes:
    """A small PNG file whose header claims a picture of that size."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("size", [(11_000, 11_000), (20_000, 20_000), (2**31 - 1, 2**31 - 1)])
def test_a_file_that_claims_too_many_points_is_no_picture(size: tuple[int, int]) -> None:
    assert size[0] * size[1] > MOST_POINTS
    with pytest.raises(NotAPicture, match=r"picture points|damaged|no picture"):
        scaled_copy(claiming(*size), 100)


@pytest.mark.parametrize(
    "content", [b"", b"text", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%!PS-Adobe-3.0 EPSF-3.0"]
)
def test_what_is_no_picture_is_named_as_that(content: bytes) -> None:
    with pytest.raises(NotAPicture, match="no picture of a kind that is read"):
        scaled_copy(content, 100)


_WHOLE = jpeg(quartered(64, 48), exif=exif(3))


@settings(max_examples=60)
@given(st.data())
def test_a_damaged_picture_is_copied_or_refused_and_nothing_else(data: st.DataObject) -> None:
    content = bytearray(_WHOLE)
    for place in data.draw(st.lists(st.integers(0, len(content) - 1), min_size=1, max_size=30)):
        content[place] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(content)))
    try:
        copy = scaled_copy(bytes(content[:cut]), 32)
    except NotAPicture:
        return
    assert max(copy.width, copy.height) <= 32


def test_a_photograph_is_as_recorded_changed_missing_or_not_recorded(tmp_path: Path) -> None:
    content = jpeg(quartered())
    digest = hashlib.sha256(content).hexdigest()
    (tmp_path / "photographs").mkdir()
    for name in ("same.jpg", "other.jpg", "new.jpg"):
        (tmp_path / "photographs" / name).write_bytes(content)
    (tmp_path / "photographs" / "folder.jpg").mkdir()
    listed = [("same", digest), ("other", "0" * 64), ("gone", digest), ("new", None), ("folder", None)]
    case = case_with(
        *({"file": f"photographs/{name}.jpg", "caption": name, "sha256": recorded} for name, recorded in listed)
    )
    found = read_photographs(case, tmp_path)
    assert [one.state for one in found] == ["as-recorded", "changed", "missing", "not-recorded", "unreadable"]
    assert [one.digest for one in found] == [digest, digest, None, digest, None]
    assert [one.position for one in found] == [0, 1, 2, 3, 4]
    assert all(one.copy is None for one in found)
    assert found[1].told == ("photographs/other.jpg: is not the file that was recorded (its digest differs)",)
    assert found[2].told == ("photographs/gone.jpg: is not there",)
    assert found[4].told == ("photographs/folder.jpg: is no file",)


def test_a_file_that_is_no_picture_warns_and_the_others_have_copies(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(jpeg(quartered()))
    (tmp_path / "b.jpg").write_bytes(b"not a picture")
    found = read_photographs(
        case_with({"file": "a.jpg", "caption": "a"}, {"file": "b.jpg", "caption": "b"}), tmp_path, longest_side=100
    )
    assert found[0].copy is not None
    assert found[0].copy.width == 100
    assert found[1].copy is None
    assert "no picture" in found[1].warnings[0]


@pytest.mark.parametrize(
    "name", ["../out.jpg", "/etc/hostname", "C:/x.jpg", "photographs/nul.jpg", "a\\b.jpg", "a//b.jpg"]
)
def test_paths_out_of_the_folder_are_refused_all_at_once(tmp_path: Path, name: str) -> None:
    case = case_with({"file": name, "caption": "a"}, {"file": "in.jpg", "caption": "b"}, {"file": name, "caption": "c"})
    with pytest.raises(InvalidInput) as refused:
        read_photographs(case, tmp_path)
    assert len(refused.value.problems) == 2
    assert "inside the case's own folder" in str(refused.value)


def test_a_link_out_of_the_folder_is_refused_and_one_within_it_is_followed(tmp_path: Path) -> None:
    home = tmp_path / "case"
    home.mkdir()
    (tmp_path / "secret.jpg").write_bytes(jpeg(quartered()))
    (home / "real.jpg").write_bytes(jpeg(quartered()))
    try:
        (home / "out.jpg").symlink_to(tmp_path / "secret.jpg")
        (home / "within.jpg").symlink_to(home / "real.jpg")
        (home / "circle.jpg").symlink_to(home / "circle.jpg")
    except OSError:
        pytest.skip("links cannot be made here")
    with pytest.raises(InvalidInput, match="a link that leads out of the case's folder"):
        read_photographs(case_with({"file": "out.jpg", "caption": "a"}), home)
    with pytest.raises(InvalidInput, match="a link that leads"):
        read_photographs(case_with({"file": "circle.jpg", "caption": "a"}), home)
    (found,) = read_photographs(case_with({"file": "within.jpg", "caption": "a"}), home)
    assert found.state == "not-recorded"
