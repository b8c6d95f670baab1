"""`dampwright sweep` as a user meets it: many cases, broken ones, resuming after any end."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from cli.main import app
from engine.sweeping.done import done_path
from tests.caseloads import small_case, small_lines

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
COUNT, BROKEN = 24, (3, 12, 23)


def run(*arguments, stdin=None):
    return CliRunner().invoke(app, ["sweep", *map(str, arguments)], input=stdin)


def sweep_here(*arguments, **more):
    return run(*arguments, "--workers", 1, **more)


def start(*arguments, stdin=subprocess.DEVNULL, **more):
    return subprocess.Popen(
        [sys.executable, "-m", "cli", "sweep", *map(str, arguments)],
        cwd=ROOT,
        stdin=stdin,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        **more,
    )


@pytest.fixture(scope="module")
def stream(tmp_path_factory):
    path = tmp_path_factory.mktemp("sweep") / "cases.jsonl"
    path.write_text("".join(f"{line}\n" for line in small_lines(COUNT, BROKEN)), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def unbroken(stream):
    """The output of a whole sweep on two processes, and what it printed."""
    output = stream.with_name("unbroken.csv")
    process = start(stream, "-o", output, "--workers", 2, "--json", "--today", "2026-11-25")
    out, err = process.communicate(timeout=300)
    return output, process.returncode, json.loads(out), err.decode()


def table(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_broken_cases_are_rows_with_their_faults_and_all_others_are_weighed(unbroken):
    output, code, summary, _ = unbroken
    assert code == 5
    assert (summary["cases"], summary["weighed"], summary["faults"]) == (COUNT, COUNT - 3, 3)
    rows = table(output)
    assert len(rows) == COUNT
    assert [row["line"] for row in rows] == [str(number + 1) for number in range(COUNT)]
    assert [int(row["line"]) - 1 for row in rows if row["fault"]] == list(BROKEN)
    assert all("dwelling: found no such field" in row["fault"] for row in rows if row["fault"])
    assert [row["case"] for row in rows if not row["fault"]] == [f"case-{n}" for n in range(COUNT) if n not in BROKEN]


def test_without_a_terminal_standard_error_holds_one_final_line(unbroken):
    (line,) = unbroken[3].splitlines()
    assert line.startswith(f"{COUNT} cases, 3 with faults, in ")


def test_one_process_gives_the_bytes_of_many(unbroken, stream, tmp_path):
    done = sweep_here(stream, "-o", tmp_path / "one.csv", "--today", "2026-11-25")
    assert done.exit_code == 5
    assert (tmp_path / "one.csv").read_bytes() == unbroken[0].read_bytes()


def killed(stream, output, after, *arguments):
    """Start a sweep and kill it outright once the output holds that many lines."""
    process = start(stream, "-o", output, "--workers", 2, "--today", "2026-11-25", *arguments)
    until = time.monotonic() + 120
    while time.monotonic() < until and process.poll() is None:
        if output.exists() and output.read_bytes().count(b"\n") >= after:
            break
        time.sleep(0.01)
    assert process.poll() is None, "it ended before it could be killed"
    process.kill()
    process.wait()


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_killed_and_resumed_it_gives_the_bytes_of_an_unbroken_run(unbroken, stream, tmp_path):
    output = tmp_path / "out.csv"
    killed(stream, output, 8)
    with done_path(output).open("ab") as file:
        file.write(b'{"state":"weighed","key":"0123')  # as a line that was cut off
    done = run(stream, "-o", output, "--workers", 2, "--resume", "--json", "--today", "2026-11-25")
    assert done.exit_code == 5
    assert json.loads(done.stdout)["known_before"] >= 6
    assert output.read_bytes() == unbroken[0].read_bytes()
    lines = done_path(output).read_text(encoding="utf-8").splitlines()
    assert len(lines) == len({json.loads(line)["key"] for line in lines}) == COUNT - 3


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGINT")
def test_an_interrupt_ends_with_130_and_what_is_done_stays(stream, tmp_path):
    output = tmp_path / "out.csv"
    process = start(stream, "-o", output, "--workers", 2, start_new_session=True)
    while process.poll() is None and not (output.exists() and output.read_bytes().count(b"\n") > 5):
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Traceback" not in err.decode()
    assert err.decode().splitlines()[-2:] == [
        "What is done is kept: the same command with --resume goes on.",
        "interrupted",
    ]
    rows = table(output)
    assert 5 <= len(rows) < COUNT
    assert len(done_path(output).read_text(encoding="utf-8").splitlines()) == sum(not row["fault"] for row in rows)


def test_resuming_weighs_only_what_changed(tmp_path):
    folder, output = tmp_path / "cases", tmp_path / "out.jsonl"
    folder.mkdir()
    for number in range(4):
        (folder / f"{number}.json").write_text(json.dumps(small_case(number)), encoding="utf-8")
    (folder / "2.json").write_text("{", encoding="utf-8")
    assert sweep_here(folder, "-o", output).exit_code == 5
    (folder / "2.json").write_text(json.dumps(small_case(2)), encoding="utf-8")
    (folder / "0.json").write_text(json.dumps(small_case(0, note="changed")), encoding="utf-8")
    done = sweep_here(folder, "-o", output, "--resume", "--json", "--today", "2026-12-01")
    assert done.exit_code == 0
    assert json.loads(done.stdout)["known_before"] == 2
    found = [json.loads(line) for line in output.read_text(encoding="utf-8").splitlines()]
    assert [one["case"]["id"] for one in found] == [f"case-{number}" for number in range(4)]
    assert {one["dates"]["today"] for one in found} == {"2026-12-01"}


def test_a_case_is_weighed_again_when_a_file_that_it_names_changes(tmp_path):
    case = small_case(1)
    case["areas"][0]["loggers"] = [{"id": "air", "kind": "room-air", "file": "air.csv"}]
    (tmp_path / "case.json").write_text(json.dumps(case), encoding="utf-8")
    series = "time,temperature,humidity\n" + "".join(f"2025-01-{d:02d} 12:00,18,70\n" for d in range(1, 29))
    (tmp_path / "air.csv").write_text(series, encoding="utf-8")
    output = tmp_path / "out.csv"
    assert sweep_here(tmp_path / "case.json", "-o", output).exit_code == 0
    again = sweep_here(tmp_path / "case.json", "-o", output, "--resume", "--json")
    assert json.loads(again.stdout)["known_before"] == 1
    (tmp_path / "air.csv").write_text(series.replace(",70", ",71"), encoding="utf-8")
    changed = sweep_here(tmp_path / "case.json", "-o", output, "--resume", "--json")
    assert json.loads(changed.stdout)["known_before"] == 0


def test_results_of_another_rule_base_do_not_count(tmp_path):
    output = tmp_path / "out.csv"
    assert sweep_here(DEMO, "-o", output).exit_code == 0
    kept = done_path(output).read_text(encoding="utf-8")
    digest = json.loads(kept)["rulebook"]
    done_path(output).write_text(kept.replace(digest, "0" * 64), encoding="utf-8")
    again = sweep_here(DEMO, "-o", output, "--resume", "--json")
    assert json.loads(again.stdout)["known_before"] == 0
    assert "1 results of another rule base or version are not used again" in again.stderr


def test_a_workbook_is_written_and_gone_on_with(tmp_path, stream):
    few = tmp_path / "few.jsonl"
    few.write_text("".join(stream.read_text(encoding="utf-8").splitlines(keepends=True)[:6]), encoding="utf-8")
    output = tmp_path / "out.xlsx"
    assert sweep_here(few, "-o", output).exit_code == 5
    first = list(openpyxl.load_workbook(output).active.iter_rows(values_only=True))
    again = sweep_here(few, "-o", output, "--resume", "--json")
    assert json.loads(again.stdout)["known_before"] == 5
    assert list(openpyxl.load_workbook(output).active.iter_rows(values_only=True)) == first
    assert len(first) == 7


def test_standard_input_a_folder_and_a_workbook_may_be_mixed(tmp_path):
    form = tmp_path / "form.xlsx"
    made = CliRunner().invoke(app, ["case", "make", "-o", str(form), "--from", str(DEMO)])
    assert made.exit_code == 0
    folder = tmp_path / "cases"
    folder.mkdir()
    (folder / "a.yaml").write_text(DEMO.read_text(encoding="utf-8"), encoding="utf-8")
    line = json.dumps(small_case(1)) + "\n"
    output = tmp_path / "out.csv"
    done = sweep_here("-", folder, form, "-o", output, stdin=line)
    assert done.exit_code == 0, done.output
    rows = table(output)
    assert [row["file"] for row in rows] == ["standard input", str(folder / "a.yaml"), str(form)]
    assert rows[1]["case digest"] == rows[2]["case digest"]
    assert rows[1]["leading causes"] == rows[2]["leading causes"]


def test_days_against_a_pack_stand_in_the_table_and_the_summary(tmp_path):
    stream = tmp_path / "cases.jsonl"
    stream.write_text(json.dumps(small_case(1)) + "\n", encoding="utf-8")
    done = sweep_here(
        stream,
        "-o",
        tmp_path / "o.csv",
        "--duties",
        "england-social-housing-hazards",
        "--today",
        "2026-11-17",
        "--plain",
    )
    (row,) = table(tmp_path / "o.csv")
    assert (row["reported on"], row["days since report"]) == ("2026-11-02", "15")
    assert "significant hazard investigated" in row["past the last day of"]
    said = " ".join(done.stdout.split())
    assert "Possible duty, take advice: hazards in social housing" in said
    assert "past the last day of significant hazard investigated: 1" in said
    assert not [word for word in ("overdue", "breach", "missed", "late", "liable") if word in said.lower().split()]


def test_an_output_that_is_there_is_left_as_it_is(tmp_path):
    output = tmp_path / "out.csv"
    output.write_text("mine", encoding="utf-8")
    assert sweep_here(DEMO, "-o", output).exit_code == 1
    resumed = sweep_here(DEMO, "-o", output, "--resume")
    assert resumed.exit_code == 1
    assert "it is no sweep to go on with" in resumed.stderr
    assert output.read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv"]


def test_faults_of_usage_and_of_input_are_told_before_anything_is_written(tmp_path):
    assert sweep_here(DEMO, "-o", tmp_path / "out.pdf").exit_code == 2
    missing = sweep_here(tmp_path / "none.yaml", "-o", tmp_path / "out.csv")
    assert missing.exit_code == 3
    assert "no such file or folder" in missing.stderr
    pack = sweep_here(DEMO, "-o", tmp_path / "out.csv", "--duties", "nowhere")
    assert pack.exit_code == 3
    assert list(tmp_path.iterdir()) == []


def test_a_second_sweep_into_the_same_file_is_told(tmp_path):
    from datetime import datetime

    from engine.case.locking import Lock

    with Lock(tmp_path / "out.csv", "somebody", datetime.now()):
        done = sweep_here(DEMO, "-o", tmp_path / "out.csv")
    assert done.exit_code == 1
    assert "another sweep is writing to it" in done.stderr


@pytest.mark.parametrize("suffix", [".csv", ".jsonl"])
def test_a_full_disk_ends_with_1_and_going_on_is_possible(tmp_path, monkeypatch, suffix):
    from engine.sweeping import tables

    stream = tmp_path / "cases.jsonl"
    stream.write_text("".join(f"{line}\n" for line in small_lines(3)), encoding="utf-8")
    writer = tables.WRITERS[suffix]

    class Filling(writer):
        def write(self, result):
            if result["line"] == 3:
                raise OSError(28, "No space left on device", str(output))
            super().write(result)

    output = tmp_path / f"out{suffix}"
    monkeypatch.setitem(tables.WRITERS, suffix, Filling)
    done = sweep_here(stream, "-o", output)
    assert done.exit_code == 1
    assert "No space left on device" in done.stderr
    monkeypatch.setitem(tables.WRITERS, suffix, writer)
    again = sweep_here(stream, "-o", output, "--resume", "--json")
    assert (again.exit_code, json.loads(again.stdout)["known_before"]) == (0, 3)
