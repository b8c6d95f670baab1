"""Consoles that lack characters, disks that are full, names that are awkward: said in a sentence, never a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.caseloads import small_case

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"
AWKWARD = "Häuser & Fälle №1"
COMMANDS = {
    "greeting": (),
    "help": ("--help",),
    "version": ("--version",),
    "demo": ("demo", "--full"),
    "weigh": ("weigh", "CASE"),
    "weigh as JSON": ("weigh", "CASE", "--json"),
    "explain": ("explain", "CASE", "--why-not", "ground-rise"),
    "challenge": ("challenge", "CASE", "--held", "ground-rise"),
    "duties": ("duties", "--aware", "2026-11-02"),
    "site list": ("ask", "CASE", "--site-list"),
    "ask": ("ask", "CASE", "--no-input"),
    "case check": ("case", "check", "CASE"),
    "case schema": ("case", "schema"),
    "case make": ("case", "make"),
    "desk facts": ("case", "make", "--desk-facts", "CASE"),
    "case diff": ("case", "diff", "CASE", "CASE"),
    "rules check": ("rules", "check"),
    "rules show": ("rules", "show", "tide-line"),
    "rules list": ("rules", "list"),
    "calc": ("calc", "--help"),
    "sweep": ("sweep", "CASE", "-o", "OUT", "--workers", "1"),
}


def run(arguments, folder, *, encoding="utf-8", **more):
    case = folder / AWKWARD / "Fall ½.yaml"
    case.parent.mkdir(exist_ok=True)
    text = DEMO.read_text(encoding="utf-8").replace("Back room", "Zimmer “hinten” — 水")
    case.write_text(text, encoding="utf-8")
    named = {"CASE": str(case), "OUT": str(folder / AWKWARD / "Ergebnis ½.csv")}
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "LC_", "LANG"))},
        "PYTHONIOENCODING": encoding,
        "OPENBLAS_NUM_THREADS": "1",
    }
    return subprocess.run(
        [sys.executable, "-m", "cli", *(named.get(one, one) for one in arguments)],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=more.pop("stdout", subprocess.PIPE),
        stderr=subprocess.PIPE,
        timeout=120,
        **more,
    )


@pytest.mark.parametrize("name", COMMANDS)
def test_a_console_of_windows_1252_shows_every_command(tmp_path, name):
    done = run(COMMANDS[name], tmp_path, encoding="cp1252")
    err = done.stderr.decode("cp1252")
    assert "Traceback" not in err, err[-1_500:]
    assert "UnicodeEncodeError" not in err
    assert done.returncode in ((0,) if name != "ask" else (2, 5)), err[-500:]
    assert done.stdout or name in ("ask",)


@pytest.mark.parametrize("name", ["demo", "weigh as JSON", "rules show", "sweep"])
def test_a_console_of_plain_ascii_shows_it_too(tmp_path, name):
    done = run(COMMANDS[name], tmp_path, encoding="ascii")
    assert done.returncode == 0, done.stderr[-500:]
    assert done.stdout.isascii()


def test_json_for_a_console_of_windows_1252_is_still_json(tmp_path):
    done = run(COMMANDS["weigh as JSON"], tmp_path, encoding="cp1252")
    assert json.loads(done.stdout.decode("cp1252"))["areas"][0]["title"].startswith("Zimmer “hinten”")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
@pytest.mark.parametrize("name", ["demo", "weigh as JSON", "explain", "rules list", "case schema", "case make", "help"])
def test_a_full_disk_under_standard_output_is_told(tmp_path, name):
    with open("/dev/full", "wb") as full:
        done = run(COMMANDS[name], tmp_path, stdout=full)
    err = done.stderr.decode()
    assert done.returncode == 1, (done.returncode, err[-800:])
    assert "Traceback" not in err, err[-1_500:]
    assert "No space left on device" in err


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell of Unix")
@pytest.mark.parametrize("closed", ["<&-", "2>&-", "<&- 2>&-"])
def test_closed_streams_do_not_stop_an_opinion(closed):
    command = f'"{sys.executable}" -m cli weigh "{DEMO}" --json {closed}'
    done = subprocess.run(["sh", "-c", command], cwd=ROOT, capture_output=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["areas"]


def test_an_output_in_a_folder_that_is_not_there_is_told(tmp_path):
    for arguments in (
        ("sweep", "CASE", "-o", str(tmp_path / "none" / "out.csv")),
        ("case", "make", "-o", str(tmp_path / "none" / "case.yaml")),
        ("rules", "draw", "-o", str(tmp_path / "none" / "map.svg")),
    ):
        done = run(arguments, tmp_path)
        err = done.stderr.decode()
        assert done.returncode == 1, (arguments, err)
        assert "No such file or directory" in err
        assert "Traceback" not in err


@pytest.mark.parametrize("name", ["con.yaml", "NUL.json", "aux", "a:b.yaml", "x" * 300 + ".yaml", "a\nb.yaml", "-"])
def test_a_case_of_an_impossible_name_is_told(tmp_path, name):
    done = run(("case", "check", name), tmp_path)
    err = done.stderr.decode()
    assert done.returncode == 3, err
    assert "Traceback" not in err


@pytest.mark.skipif(sys.platform == "win32", reason="names are text there")
def test_names_that_are_no_text_are_taken_and_told(tmp_path):
    name = os.fsencode(tmp_path) + b"/F\xe4lle.json"
    with open(name, "wb") as file:
        file.write(json.dumps(small_case(1)).encode())
    done = run(("sweep", os.fsdecode(tmp_path), "-o", str(tmp_path / "o.csv"), "--workers", "1"), tmp_path)
    assert done.returncode == 0, done.stderr
    assert "F\ufffdlle.json" in (tmp_path / "o.csv").read_text(encoding="utf-8-sig")
    checked = run(("case", "check", os.fsdecode(name)), tmp_path)
    assert checked.returncode == 0, checked.stderr


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xfef\x00o\x00", "UTF-16"),
        (b"title: H\xe4user\n", "0xE4"),
        (b"title: a\x00b\n", "U+0000"),
        (b"\xef\xbb\xbf", "an empty file"),
    ],
)
def test_a_file_of_another_encoding_is_told_by_line(tmp_path, content, said):
    path = tmp_path / "case.yaml"
    path.write_bytes(content)
    done = run(("case", "check", str(path)), tmp_path)
    assert done.returncode == 3
    assert said in done.stderr.decode()


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_of_other_systems_give_the_same_opinion(tmp_path, end):
    path = tmp_path / "case.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + DEMO.read_text(encoding="utf-8").replace("\n", end).encode())
    plain, other = (run(("weigh", str(one), "--json"), tmp_path) for one in (DEMO, path))
    assert plain.stdout == other.stdout
    assert plain.stdout
