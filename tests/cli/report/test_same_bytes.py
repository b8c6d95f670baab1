"""The same case and rules give the same bytes: twice, in another time zone, at another hour, hashed otherwise."""

from __future__ import annotations

import ast
import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path

from cli.report.word import ZIP_DAY

ROOT = Path(__file__).resolve().parents[3]
PROGRAM = """
import datetime, hashlib, sys, time
from pathlib import Path

shift = float(sys.argv[2])
real, local = time.time, time.localtime
time.time = lambda: real() + shift
time.localtime = lambda *when: local(when[0] if when and when[0] is not None else time.time())

from engine import load_rulebook, read_case
from engine.reporting import make_report
from engine.reporting.material import material
from cli.report.html import as_html
from cli.report.markdown import as_markdown
from cli.report.word import as_word

book, path = load_rulebook(), Path(sys.argv[1])
report = make_report(material(read_case(path, vocabulary=book), book, folder=path.parent, backend="python"))
for content in (as_html(report).encode(), as_markdown(report).encode(), as_word(report)):
    print(hashlib.sha256(content).hexdigest(), len(content))
"""


def made(path, zone, seed, shift):
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(path), str(shift)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "TZ": zone, "PYTHONHASHSEED": seed, "LC_ALL": "C", "OPENBLAS_NUM_THREADS": "1"},
    )
    return done.stdout.split("\n")


def test_reports_are_the_same_in_another_zone_at_another_hour_and_hashed_otherwise(report_cases, tmp_path):
    data = report_cases.full_data()
    area = data["areas"][0]
    del area["loggers"]
    for surface in area["surfaces"]:
        surface["readings"] = surface["readings"][:12]
    path = report_cases.write(data, tmp_path)
    first = made(path, "UTC", "1", 0)
    second = made(path, "Pacific/Kiritimati", "4711", 400 * 24 * 3600)
    assert len(first) == 4
    assert first == second


def test_every_part_of_a_word_file_bears_one_fixed_day(full_word):
    with zipfile.ZipFile(io.BytesIO(full_word)) as file:
        assert {part.date_time for part in file.infolist()} == {ZIP_DAY}
        properties = file.read("docProps/core.xml").decode("utf-8")
    assert properties.count("2026-03-20T00:00:00Z") == 2


def test_no_report_asks_a_clock_or_for_chance():
    asked = {"now", "today", "utcnow", "time", "localtime", "random", "uuid4", "getrandbits"}
    for folder in ("engine/reporting", "cli/report"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                    assert node.func.attr not in asked, path
