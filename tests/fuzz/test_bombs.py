"""Small files that would blow up: refused in bounded memory and time by a process that has little of either."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile

import openpyxl
import pytest

from tests.caseloads import small_case
from tests.fuzzing import ROOT, SOAK

MEMORY = 900 * 1024 * 1024
"""Address space [bytes] that a process may use; loading everything takes about a third of it."""
SIZE = 2_000_000 if SOAK else 150_000
"""Of a text [bytes]; in the soak form just under what a case file may hold."""
UNPACKED = 400 if SOAK else 40
"""Of a part of a workbook [MiB]; more than may be unpacked."""

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="memory can be bounded so on Linux only")

READER = """
import json, sys
from pathlib import Path
from engine.case import read_case
from engine.case.columns import recognised
from engine.case.tables import read_table
from engine.errors import InvalidInput

for name in sys.argv[1:]:
    path = Path(name)
    try:
        if "table" in path.stem:
            read_table(path, recognised)
        else:
            read_case(path)
        said = "read"
    except InvalidInput as fault:
        said = str(fault)[:2000]
    print(json.dumps([path.name, said]), flush=True)
"""


def limited():
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


def run(*arguments):
    return subprocess.run(
        [sys.executable, *map(str, arguments)],
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=600,
        preexec_fn=limited,
        env={"OPENBLAS_NUM_THREADS": "1", "PATH": "/usr/bin:/bin", "HOME": "/nonexistent"},
    )


def said_of(paths):
    """What one process of little memory says of each file; it ends at the first that it cannot take."""
    done = run("-c", READER, *paths)
    found = dict(json.loads(line) for line in done.stdout.splitlines())
    assert done.returncode == 0, done.stderr.decode()[-1_000:]
    return found


HEAD = "format: 1\nid: bomb\ntitle: Bomb\ndwelling: {title: House}\nvisits: [{id: v, on: 2026-01-01}]\n"
LAUGHS = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 10)
)
YAML = {
    "laughs": LAUGHS,
    "wide aliases": f"a: &a {'x' * 20_000}\nb: [{', '.join(['*a'] * 2_000)}]\n",
    "brackets": "[" * SIZE,
    "braces": "{a: " * (SIZE // 4),
    "dashes": "- " * (SIZE // 2),
    "keys": "a:\n" + "".join(f"{' ' * n}a:\n" for n in range(1, 1_500)),
    "question marks": "? " * (SIZE // 2),
    "anchors": "".join(f"- &a{n} x\n" for n in range(SIZE // 12)),
    "many items": f"{HEAD}areas: [{'x,' * ((SIZE - 200) // 2)}]\n",
    "many areas": f"{HEAD}areas:\n" + "- {}\n" * ((SIZE - 200) // 5),
    "many facts": f"{HEAD}areas:\n- id: a\n  title: A\n  facts:\n" + "  - {attribute: x}\n" * (SIZE // 22),
    "many names": "".join(f"n{n}: 1\n" for n in range(SIZE // 12)),
    "one name again": "a: 1\n" * (SIZE // 5),
    "one text": f"{HEAD}note: {'x' * (SIZE - 200)}\nareas: []\n",
    "digits": f"format: {'9' * (SIZE - 100)}\n",
    "quotes": '"' * SIZE,
    "comments": "#\n" * (SIZE // 2),
    "tags": "!" * SIZE,
    "tabs": "\t" * SIZE,
}
JSON = {
    "brackets": "[" * SIZE,
    "braces": '{"a":' * (SIZE // 5),
    "closed brackets": "[" * (SIZE // 2) + "]" * (SIZE // 2),
    "many items": "[" + "0," * (SIZE // 2 - 2) + "0]",
    "digits": "9" * SIZE,
    "escapes": '"' + "\\u0041" * (SIZE // 6) + '"',
    "one name again": "{" + ",".join(['"a":0'] * (SIZE // 6)) + "}",
}


def test_bombs_of_yaml_and_json_are_refused(tmp_path):
    bombs = {f"{name}.yaml": text for name, text in YAML.items()} | {
        f"{name}.json": text for name, text in JSON.items()
    }
    for name, text in bombs.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    found = said_of(tmp_path / name for name in bombs)
    assert list(found) == list(bombs)
    assert not [name for name, said in found.items() if said == "read"]


def gigabyte(path, start=b""):
    """A file of a gibibyte that takes up no room on the disk."""
    with path.open("wb") as file:
        file.write(start)
        file.truncate(1 << 30)
    return path


def test_files_of_a_gibibyte_are_refused_unread(tmp_path):
    starts = dict.fromkeys(("case.yaml", "case.json", "form.xlsx", "table.xlsx"), b"format: 1\n")
    starts["table.csv"] = b"x_mm,y_mm,instrument,value\n"
    found = said_of(gigabyte(tmp_path / name, start) for name, start in starts.items())
    assert all("more than" in said for said in found.values()), found
    assert len(found) == len(starts)


def test_a_stream_with_a_line_of_a_gibibyte_is_swept_with_one_fault(tmp_path):
    stream = gigabyte(tmp_path / "cases.jsonl")
    case = small_case(1)
    gigabyte(tmp_path / "air.csv", b"time,temp\n2025-01-01 00:00,1\n")
    case["areas"][0]["loggers"] = [{"id": "air", "kind": "room-air", "file": "air.csv"}]
    (tmp_path / "logged.json").write_text(json.dumps(case), encoding="utf-8")
    with stream.open("ab") as file:
        file.write(b"\n" + json.dumps(small_case(2)).encode() + b"\n")
    output = tmp_path / "out.jsonl"
    done = run("-m", "cli", "sweep", tmp_path / "logged.json", stream, "-o", output, "--workers", "1")
    assert done.returncode == 5, done.stderr[-500:]
    logged, first, second = output.read_text(encoding="utf-8").splitlines()
    assert "at most 67108864 bytes" in logged
    assert "a line of more than 2,097,152 bytes" in first
    assert '"state":"weighed"' in second


def plain_workbook():
    book = openpyxl.Workbook()
    book.active.append(["x_mm", "y_mm", "instrument", "value"])
    book.active.append([500, 75, "pins", 20])
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def with_parts(path, parts, renamed=None):
    """A workbook with parts in place of its own; ``renamed`` is told wherever the old name is referred to."""
    with zipfile.ZipFile(io.BytesIO(plain_workbook())) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name in parts or (renamed and name == f"xl/{renamed[0]}"):
                continue
            content = old.read(name)
            if renamed and name.endswith((".rels", "Types].xml")):
                content = content.replace(renamed[0].encode(), renamed[1].encode())
            new.writestr(name, content)
        for name, content in parts.items():
            with new.open(name, "w", force_zip64=True) as part:
                for piece in content:
                    part.write(piece)
    return path


SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
STRINGS = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'


def strings(mebibytes):
    yield STRINGS
    for _ in range(mebibytes):
        yield b"<si><t>x</t></si>" * 61_681
    yield b"</sst>"


def spaces(mebibytes, start=SHEET):
    yield start
    for _ in range(mebibytes):
        yield b" " * (1 << 20)


BOMBS = {
    "spaces in a sheet": ({"xl/worksheets/sheet1.xml": spaces}, None),
    "shared strings": ({"xl/sharedStrings.xml": strings}, None),
    "shared strings named as a picture": (
        {"xl/sharedStrings.png": strings},
        ("sharedStrings.xml", "sharedStrings.png"),
    ),
    "a sheet named as a picture": (
        {"xl/worksheets/sheet1.jpg": spaces},
        ("worksheets/sheet1.xml", "worksheets/sheet1.jpg"),
    ),
}


def test_zip_bombs_are_refused_unpacked_no_further_than_allowed(tmp_path):
    paths = []
    for name, (parts, renamed) in BOMBS.items():
        path = with_parts(
            tmp_path / f"table {name}.xlsx", {part: made(UNPACKED) for part, made in parts.items()}, renamed
        )
        assert path.stat().st_size < UNPACKED * 10_000
        paths += [path, tmp_path / f"form {name}.xlsx"]
        paths[-1].write_bytes(path.read_bytes())
    found = said_of(paths)
    assert len(found) == 2 * len(BOMBS)
    assert all("unpack to more than can be read" in said for said in found.values()), found


def test_entities_in_a_part_of_any_name_are_refused(tmp_path):
    laughs = b'<!DOCTYPE x [<!ENTITY a "' + b"x" * 1000 + b'">' + b"".join(
        b'<!ENTITY a%d "%s">' % (n, b"&a%d;" % (n - 1) * 10 if n else b"&a;" * 10) for n in range(8)
    ) + b"]>"  # fmt: skip
    part = [laughs + STRINGS + b"<si><t>&a7;</t></si></sst>"]
    paths = []
    for name in ("sharedStrings.xml", "sharedStrings.png"):
        renamed = None if name.endswith("xml") else ("sharedStrings.xml", name)
        paths.append(with_parts(tmp_path / f"table {name}.xlsx", {f"xl/{name}": part}, renamed))
    assert all("declares entities" in said for said in said_of(paths).values())


def test_a_part_that_is_larger_than_its_archive_says_is_refused(tmp_path):
    path = with_parts(tmp_path / "table.xlsx", {"xl/worksheets/sheet1.xml": spaces(8)})
    content = bytearray(path.read_bytes())
    place = content.rindex(b"xl/worksheets/sheet1.xml") - 46
    content[place + 24 : place + 28] = (100).to_bytes(4, "little")
    path.write_bytes(content)
    assert "read" not in said_of([path]).values()
