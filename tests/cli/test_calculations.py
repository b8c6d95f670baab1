"""`calc` as a user meets it."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from engine.calculations import CALCULATIONS

ROOT = Path(__file__).resolve().parents[2]


def dampwright(*arguments, **environment):
    return subprocess.run(
        [sys.executable, "-m", "cli", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
    )


def test_a_dew_point_is_printed_with_unit_range_equation_and_source():
    done = dampwright("calc", "dew-point", "--temperature", "20", "--humidity", "60", "--plain")
    assert done.returncode == 0, done.stderr
    assert "dew point: 12.0 °C" in done.stdout
    for part in ("Equation", "Valid for", "Sources", "from memory"):
        assert part in done.stdout
    assert "\x1b" not in done.stdout
    assert done.stderr == ""


def test_json_is_one_document():
    done = dampwright("calc", "dew-point", "--temperature", "20", "--humidity", "60", "--json")
    data = json.loads(done.stdout)
    assert data["results"][0]["value"] == pytest.approx(12.0, abs=0.05)
    assert data["inputs"][1]["value"] == 60


def test_faults_are_told_all_at_once_with_their_ranges_and_exit_code_3():
    done = dampwright("calc", "dew-point", "--temperature", "68", "--humidity", "120")
    assert done.returncode == 3
    assert done.stdout == ""
    assert "temperature: found 68; allowed: -45 to 60 °C (is it in degrees Fahrenheit?)" in done.stderr
    assert "humidity: found 120; allowed: above 0 up to 100 %" in done.stderr
    assert "Traceback" not in done.stderr


def test_negative_temperatures_are_values_and_not_options():
    done = dampwright("calc", "temperature-factor", "--surface", "11", "--inside", "20", "--outside", "-4", "--plain")
    assert done.returncode == 0, done.stderr
    assert "below" in done.stdout


def test_missing_inputs_are_named_and_nothing_is_asked():
    done = dampwright("calc", "dew-point")
    assert done.returncode == 3
    assert "add --temperature" in done.stderr
    assert "add --humidity" in done.stderr


def test_an_unknown_calculation_ends_with_2_and_the_nearest_name():
    done = dampwright("calc", "dew-pont")
    assert done.returncode == 2
    assert "dew-point" in done.stderr


def test_the_list_has_one_line_for_each_calculation():
    lines = dampwright("calc", "list").stdout.splitlines()
    assert [line.split()[0] for line in lines] == list(CALCULATIONS)
    entries = json.loads(dampwright("calc", "list", "--json").stdout)
    assert [entry["id"] for entry in entries] == list(CALCULATIONS)


def test_every_calculation_has_help_with_an_example_and_a_command_that_runs_it(tmp_path):
    program = (
        "import sys, typer\n"
        "from cli.main import app\n"
        "from engine.calculations import CALCULATIONS\n"
        "from typer.testing import CliRunner\n"
        "runner = CliRunner()\n"
        "for one in CALCULATIONS.values():\n"
        "    shown = runner.invoke(app, ['calc', one.id, '--help'])\n"
        "    assert shown.exit_code == 0, one.id\n"
        "    assert f'Example: dampwright calc {one.id}' in ' '.join(shown.output.split()), one.id\n"
        "    for given in one.inputs:\n"
        "        assert f'--{given.name}' in shown.output, (one.id, given.name)\n"
        "assert 'numpy' not in sys.modules and 'engine.rulebook' not in sys.modules\n"
        "for one in CALCULATIONS.values():\n"
        "    done = runner.invoke(app, ['calc', one.id, *one.example.split()])\n"
        "    assert done.exit_code == 0, (one.id, done.output)\n"
        "    assert 'Sources' in done.output, one.id\n"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_other_commands_do_not_pay_for_the_table():
    program = (
        "import sys; from cli.main import app; from typer.testing import CliRunner;"
        "CliRunner().invoke(app, ['--help']);"
        "print(sorted({'numpy', 'pydantic', 'engine.calculations'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_repeatable_input_takes_each_of_its_values():
    done = dampwright("calc", *shlex.split("timber --reading 18 --reading 19 --reading 24 --temperature 15"), "--json")
    data = json.loads(done.stdout)
    assert data["inputs"][0]["value"] == [18.0, 19.0, 24.0]
