"""Filled-in forms, damaged: refused by sheet and cell, or read as a case."""

from __future__ import annotations

import io
import zipfile

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.case import read_case
from engine.case.workbook.writing import write_form
from engine.rulebook import load_rulebook
from tests.fuzzing import ROOT, TEXTS, byte_damage, damaged_bytes, damaged_text, examples, text_damage, told, watched

DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**15), 10**15),
    st.floats(allow_nan=False, allow_infinity=False),
    st.dates(),
    st.sampled_from([text for text in TEXTS if text.isprintable() and len(text) < 200]),
)


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


@pytest.fixture(scope="module")
def form(rulebook):
    """A form of the demonstration case, pared down to the sheets and rows that are filled, so that it reads fast."""
    full = openpyxl.load_workbook(io.BytesIO(write_form(read_case(DEMO, vocabulary=rulebook), rulebook)))
    small = openpyxl.Workbook()
    small.remove(small.active)
    for sheet in full.worksheets:
        if sheet.sheet_state == "visible" and "xample" not in sheet.title:
            page = small.create_sheet(sheet.title)
            for row in sheet.iter_rows(values_only=True):
                if any(value is not None for value in row):
                    page.append(row)
    stream = io.BytesIO()
    small.save(stream)
    return stream.getvalue()


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return tmp_path_factory.mktemp("forms") / "form.xlsx"


def test_the_form_that_is_damaged_here_is_sound(form, path, rulebook):
    path.write_bytes(form)
    assert read_case(path, vocabulary=rulebook).id == "raised-path"


@examples(5, 1_500)
@given(places=st.lists(st.tuples(*[st.floats(0, 0.999)] * 3, CELLS), min_size=1, max_size=4))
def test_a_form_with_other_cells_is_refused_or_read(form, path, rulebook, places):
    book = openpyxl.load_workbook(io.BytesIO(form))
    for page, down, across, value in places:
        sheet = book.worksheets[int(page * len(book.worksheets))]
        sheet.cell(1 + int(down * (sheet.max_row + 1)), 1 + int(across * (sheet.max_column + 1))).value = value
    book.save(path)
    with watched("form cells"):
        read_case(path, vocabulary=rulebook)


@examples(15, 2_500)
@given(part=st.integers(0, 60), steps=text_damage)
def test_a_form_with_a_damaged_part_is_refused_or_read(form, path, rulebook, part, steps):
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(form)) as old, zipfile.ZipFile(stream, "w") as new:
        chosen = old.namelist()[part % len(old.namelist())]
        for name in old.namelist():
            content = old.read(name)
            if name == chosen:
                content = damaged_text(content.decode("utf-8"), steps).encode("utf-8", "surrogatepass")
            new.writestr(name, content)
    path.write_bytes(stream.getvalue())
    with watched("form parts"):
        read_case(path, vocabulary=rulebook)


@examples(20, 2_000)
@given(steps=byte_damage)
def test_damaged_bytes_of_a_form_are_refused_or_read(form, path, rulebook, steps):
    path.write_bytes(damaged_bytes(form, steps))
    with watched("form bytes"):
        read_case(path, vocabulary=rulebook)
