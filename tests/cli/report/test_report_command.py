"""The command: what it writes, what it says, and what it refuses before it weighs anything."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from cli.main import app

runner = CliRunner()


@pytest.fixture
def case(report_cases, tmp_path):
    return report_cases.write(report_cases.thin_data(), tmp_path)


def run(*arguments):
    return runner.invoke(app, ["report", *map(str, arguments)])


def test_it_writes_the_householders_page_and_says_that_it_is_a_draft(case, tmp_path):
    done = run(case, "-o", tmp_path / "out.md", "--for", "householder", "--chainer", "python")
    assert done.exit_code == 0, done.output
    assert "a draft, not signed" in done.output
    text = (tmp_path / "out.md").read_text(encoding="utf-8")
    assert text.startswith("# DRAFT: A thin case\n")
    assert "Technical report" not in text


def test_an_earlier_file_stays_unless_it_is_to_be_replaced(case, tmp_path):
    out = tmp_path / "out.md"
    out.write_text("mine", encoding="utf-8")
    kept = run(case, "-o", out, "--for", "householder")
    assert kept.exit_code == 1
    assert "already exists and is left as it is" in kept.output
    assert out.read_text(encoding="utf-8") == "mine"
    assert run(case, "-o", out, "--for", "householder", "--replace").exit_code == 0
    assert out.read_text(encoding="utf-8").startswith("# DRAFT")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["case.json", "garden-wall.png", "out.md", "room.csv"]


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["-o", "out.pdf"], 2, "a file that ends in .html, .docx or .md"),
        (["-o", "out.html", "--template", "firm.docx"], 2, "--template is for Word"),
        (["-o", "out.md", "--area", "rooom"], 3, "did you mean 'room'?"),
        (["-o", "out.md", "--jurisdiction", "england"], 2, "need --aware"),
        (["-o", "out.md", "--jurisdiction", "englund", "--aware", "2026-01-05"], 3, "did you mean 'england'?"),
        (["-o", "no-such-folder/out.md", "--for", "householder"], 1, "No such file or directory"),
    ],
)
def test_what_cannot_be_done_is_said(case, tmp_path, monkeypatch, arguments, code, said):
    monkeypatch.chdir(tmp_path)
    done = run(case, *arguments)
    assert done.exit_code == code, done.output
    assert said in done.output
    assert "Traceback" not in done.output


def test_a_photograph_that_is_not_there_warns_and_the_report_is_written(report_cases, tmp_path):
    data = report_cases.thin_data()
    data["areas"][0]["photographs"] = [{"file": "gone.jpg", "caption": "Gone"}]
    done = run(report_cases.write(data, tmp_path), "-o", tmp_path / "out.md", "--for", "householder")
    assert done.exit_code == 0
    assert "gone.jpg: is not there" in done.output


def test_help_has_an_example():
    assert "dampwright report visit.yaml -o visit.html" in run("--help").output
