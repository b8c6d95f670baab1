"""A sheet that hides in a workbook under the name of a picture is measured like any other."""

from __future__ import annotations

import io
import zipfile

import openpyxl
import pytest

from engine.case import workbooks
from engine.errors import InvalidInput


def workbook_with(path, name, content):
    """A workbook whose only sheet lies in a part of another name."""
    book = openpyxl.Workbook()
    book.active.append(["x_mm", "y_mm", "instrument", "value"])
    book.active.append([500, 75, "pins", 20])
    stream = io.BytesIO()
    book.save(stream)
    with zipfile.ZipFile(io.BytesIO(stream.getvalue())) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            data = old.read(part).replace(b"worksheets/sheet1.xml", name.encode())
            if part == "xl/worksheets/sheet1.xml":
                part, data = f"xl/{name}", content(data)
            new.writestr(part, data)
    return path


def test_a_part_of_another_name_that_is_small_and_plain_is_read(tmp_path):
    table = workbooks.read_workbook(workbook_with(tmp_path / "t.xlsx", "sheet.png", lambda data: data), None)
    assert table.header.cells == ("x_mm", "y_mm", "instrument", "value")


@pytest.mark.parametrize("before", [b"", b" " * 200, b"\xef\xbb\xbf"], ids=["at once", "after spaces", "after a mark"])
def test_one_that_would_unpack_to_too_much_is_refused(tmp_path, before):
    path = workbook_with(
        tmp_path / "t.xlsx", "sheet.png", lambda data: before + data[data.index(b"<worksheet") :] + b" " * 40_000_000
    )
    with pytest.raises(InvalidInput, match="would unpack to more than can be read"):
        workbooks.read_workbook(path, None)


def test_one_that_declares_entities_is_refused(tmp_path):
    declared = b'<!DOCTYPE worksheet [<!ENTITY a "xxxx">]>'
    path = workbook_with(tmp_path / "t.xlsx", "sheet.jpg", lambda data: declared + data[data.index(b"<worksheet") :])
    with pytest.raises(InvalidInput, match="declares entities"):
        workbooks.read_workbook(path, None)


def test_a_true_picture_may_be_larger_than_sheets_together(tmp_path):
    path = workbook_with(tmp_path / "t.xlsx", "sheet.png", lambda data: data)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/image1.png", b"\x89PNG\r\n\x1a\n" + b"\x01" * 40_000_000)
    assert len(workbooks.read_workbook(path, None).rows) == 1
