"""Tables of readings, damaged: separated text and workbooks, imported into a case or refused."""

from __future__ import annotations

import io
import zipfile

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.case.columns import recognised
from engine.case.importing import import_readings
from engine.case.tables import read_table
from engine.documents import read_document
from tests.fuzzing import (
    ROOT,
    TEXTS,
    byte_damage,
    damaged_bytes,
    damaged_text,
    examples,
    text_damage,
    told,
    watched,
)

DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
HEADERS = [
    "x_mm",
    "y_mm",
    "height_mm",
    "instrument",
    "mode",
    "scale",
    "value",
    "repeats",
    "note",
    "material",
    "depth_mm",
]
GOOD = {
    ",": "x_mm,y_mm,instrument,value,repeats,note\n"
    + "".join(f"{400 + 50 * n},{75 * n},pins,{20.5 - n},{21 - n} {20 - n},\n" for n in range(12)),
    ";": "x;height;mode;reading\n" + "".join(f"{300 + n};{100 * n};capacitance;{n},5\n" for n in range(12)),
    "\t": "x_mm\ty_mm\tinstrument\tvalue\n" + "".join(f"{1000 + n}\t{75 * n}\tplate\t{30 + n}\n" for n in range(12)),
}
CELLS = st.one_of(st.sampled_from(TEXTS), st.text(max_size=8), st.integers(-10, 5_000).map(str), st.floats().map(str))


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


@pytest.fixture(scope="module")
def document():
    return read_document(DEMO)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("tables")


def bring_in(document, path):
    table = read_table(path, recognised)
    assert all(len(row.cells) == len(table.header.cells) for row in table.rows)
    area = document.data["areas"][0]
    import_readings(document, table, area=area["id"], surface=area["surfaces"][0]["id"])


@examples(60, 9_000)
@given(mark=st.sampled_from(sorted(GOOD)), steps=text_damage)
def test_a_damaged_table_of_text_is_refused_or_imported(folder, document, mark, steps):
    path = folder / "readings.csv"
    path.write_bytes(damaged_text(GOOD[mark], steps).encode("utf-8", "surrogatepass"))
    with watched("readings text"):
        bring_in(document, path)


@examples(60, 9_000)
@given(mark=st.sampled_from(sorted(GOOD)), steps=byte_damage)
def test_damaged_bytes_of_a_table_are_refused_or_imported(folder, document, mark, steps):
    path = folder / "readings.txt"
    path.write_bytes(damaged_bytes(GOOD[mark].encode("utf-8"), steps))
    with watched("readings bytes"):
        bring_in(document, path)


@examples(60, 9_000)
@given(
    header=st.lists(st.one_of(st.sampled_from(HEADERS), CELLS), min_size=1, max_size=8),
    body=st.lists(st.lists(CELLS, max_size=8), max_size=5),
    mark=st.sampled_from([",", ";", "\t"]),
)
def test_a_table_of_any_cells_is_refused_or_imported(folder, document, header, body, mark):
    path = folder / "readings.tsv"
    lines = [mark.join(cells) for cells in (header, *body)]
    path.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))
    with watched("readings cells"):
        bring_in(document, path)


def workbook(rows):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


PLAIN = workbook([["x_mm", "y_mm", "instrument", "value"], *([500, 75 * n, "pins", 20 - n] for n in range(8))])


def repacked(content, part, change):
    """A workbook with one part changed, as a whole archive again."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(stream, "w") as new:
        names = old.namelist()
        chosen = names[part % len(names)]
        for name in names:
            new.writestr(name, change(old.read(name)) if name == chosen else old.read(name))
    return stream.getvalue()


@examples(50, 4_000)
@given(part=st.integers(0, 40), steps=text_damage)
def test_a_workbook_with_a_damaged_part_is_refused_or_imported(folder, document, part, steps):
    def change(content):
        return damaged_text(content.decode("utf-8"), steps).encode("utf-8", "surrogatepass")

    path = folder / "readings.xlsx"
    path.write_bytes(repacked(PLAIN, part, change))
    with watched("readings workbook parts"):
        bring_in(document, path)


@examples(60, 5_000)
@given(steps=byte_damage)
def test_damaged_bytes_of_a_workbook_are_refused_or_imported(folder, document, steps):
    path = folder / "readings.xlsx"
    path.write_bytes(damaged_bytes(PLAIN, steps))
    with watched("readings workbook bytes"):
        bring_in(document, path)


@examples(25, 2_000)
@given(
    body=st.lists(
        st.lists(
            st.one_of(
                st.none(),
                st.booleans(),
                st.integers(-(10**18), 10**18),
                st.floats(allow_nan=False, allow_infinity=False),
                st.dates(),
                st.sampled_from([t for t in TEXTS if t.isprintable() and len(t) < 100]),
            ),
            max_size=6,
        ),
        max_size=5,
    )
)
def test_a_workbook_of_any_cells_is_refused_or_imported(folder, document, body):
    path = folder / "readings.xlsx"
    path.write_bytes(workbook([["x_mm", "y_mm", "instrument", "value", "repeats", "note"], *body]))
    with watched("readings workbook cells"):
        bring_in(document, path)
