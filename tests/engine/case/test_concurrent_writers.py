"""Ten processes that write to one case: nothing that was said to be saved is lost, and the file is always whole."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from engine.case import read_case
from tests.caseloads import small_case

ROOT = Path(__file__).resolve().parents[3]
COUNTING = """
import os, sys, time
from pathlib import Path
from engine.case.saving import save_over
from engine.documents import read_text
from engine.errors import InvalidInput

replace = os.replace
os.replace = lambda *names: (time.sleep(0.005), replace(*names))  # as a slow disk does, between comparing and writing
path, rounds = Path(sys.argv[1]), int(sys.argv[2])
while rounds:
    before = read_text(path)
    try:
        save_over(path, f"count: {int(before.split()[1]) + 1}\\n", before)
    except InvalidInput:
        continue
    rounds -= 1
"""


def start(*arguments):
    return subprocess.Popen(
        [sys.executable, *map(str, arguments)], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def test_no_replacement_is_lost_between_the_comparison_and_the_writing(tmp_path):
    path = tmp_path / "count.yaml"
    path.write_text("count: 0\n", encoding="utf-8")
    for process in [start("-c", COUNTING, path, 12) for _ in range(10)]:
        _, err = process.communicate(timeout=120)
        assert process.returncode == 0, err
    assert path.read_text(encoding="utf-8") == "count: 120\n"
    assert [one.name for one in tmp_path.iterdir()] == ["count.yaml"]


def test_ten_imports_into_one_case_at_once_are_each_in_it_or_refused(tmp_path):
    case = small_case(1)
    case["visits"][0]["instruments"] = [{"id": "pins", "mode": "pins", "scale": "wood-percent"}]
    wall = {"id": "wall", "kind": "wall", "width_mm": 3000, "height_mm": 2400, "material": "plaster", "readings": []}
    case["areas"][0]["surfaces"] = [{**wall, "readings": [{"x_mm": 1, "y_mm": 1, "instrument": "pins", "value": 9}]}]
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case, indent=2), encoding="utf-8")
    writers = []
    for number in range(10):
        table = tmp_path / f"{number}.csv"
        table.write_text(f"x_mm,y_mm,instrument,value\n{100 + number},75,pins,20\n", encoding="utf-8")
        writers.append(start("-m", "cli", "case", "readings", path, table, "--in-place"))
    codes = []
    for writer in writers:
        _, err = writer.communicate(timeout=120)
        assert "Traceback" not in err
        assert writer.returncode in (0, 3), err
        assert writer.returncode == 0 or "changed in the meantime" in err
        codes.append(writer.returncode)
    read = {reading.x_mm for reading in read_case(path).areas[0].surfaces[0].readings}
    assert read == {1.0, *(100.0 + number for number, code in enumerate(codes) if code == 0)}
    assert 0 in codes
