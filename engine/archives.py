"""Office files are compressed archives of XML: measured before anything opens them.

What an archive would unpack to is bounded, and no part may declare entities, whatever the part is named.
"""

from __future__ import annotations

import io
import zipfile
import zlib

from engine.reading import shown

LARGEST_FILE = 64 * 1024 * 1024
"""Of an office file as it lies on the disk [bytes]."""
LARGEST_XML = 32 * 1024 * 1024
"""Of all its XML when unpacked [bytes]."""
MOST_PARTS = 2_000
_DECLARATIONS = tuple(mark.encode(code) for mark in ("<!DOCTYPE", "<!ENTITY") for code in ("utf-8", "utf-16-le"))
_START, _BEFORE_XML = 64, b"\xef\xbb\xbf\xfe\xff\x00 \t\r\n"


class NoArchive(Exception):
    """Not an archive, or one that is damaged or locked."""


class TooLarge(Exception):
    """An archive that would unpack to more than can be read; the message says what is allowed."""


class Declares(Exception):
    """An archive with a part that declares entities; the message names the part."""


def check_archive(content: bytes) -> None:
    """Measure an office file; NoArchive, TooLarge or Declares where it must not be opened."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            xml = [part for part in parts if _is_xml(archive, part)]
            if len(parts) > MOST_PARTS or sum(part.file_size for part in xml) > LARGEST_XML:
                raise TooLarge(f"at most {MOST_PARTS:,} parts and {LARGEST_XML:,} bytes of them")
            for part in xml:
                text = archive.read(part)
                if any(mark in text for mark in _DECLARATIONS):
                    raise Declares(shown(part.filename))
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError, zlib.error):
        raise NoArchive from None


def _is_xml(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    """Whether a part is XML by its name or by how it begins: a sheet may hide under the name of a picture."""
    if part.filename.lower().endswith((".xml", ".rels", ".vml")):
        return True
    with archive.open(part) as opened:
        start = opened.read(_START).lstrip(_BEFORE_XML)
    return not start or start.startswith(b"<")
