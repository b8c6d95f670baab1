"""`practise` from the shell: what it asks for, what it refuses, what it keeps, and what it never lets out."""

from __future__ import annotations

import contextlib
import csv
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from cli.views import practice
from cli.views.console import results
from cli.views.page import Page
from engine.case import read_case, write_case
from engine.case.models import Case
from engine.opinion.casebook import own_casebook
from engine.practising.asking import Request, reply
from engine.practising.measuring import NotMeasured
from engine.practising.pieces import answer_pieces
from engine.practising.record import Record
from engine.practising.session import Practice
from engine.rulebook import load_rulebook
from engine.sharing.sealing import key_text, seal

ROOT = Path(__file__).resolve().parents[3]
CONCLUSION = ["conclude", "bridged-dpc 80, ground-rise 20", "watch", "lower-outside-ground", "asbestos, lead"]


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook()


def test_it_is_reviewed_kept_shown_exported_and_deleted(dampwright, tmp_path):
    done = dampwright("raised-path", lines="\n".join(["tide line across", *CONCLUSION]) + "\n")
    assert done.exit_code == 0, done.stderr
    assert "Right: bridged damp-proof course." in done.stdout
    shown = dampwright("--record", "--plain")
    assert "1 begun, 1 concluded, 1 reviewed." in shown.stdout
    assert "Ground moisture: 1 of 1 right" in shown.stdout
    assert "Brier score" in shown.stdout
    again = dampwright("--review", 1, "--plain")
    assert again.stdout.strip() in done.stdout
    assert dampwright("--export", "mine.csv").exit_code == 0
    assert dampwright("--export", "mine.json").exit_code == 0
    (row,) = csv.DictReader((tmp_path / "mine.csv").read_text("utf-8").splitlines())
    assert (row["verdict"], row["truth"], row["case"]) == ("right", "bridged-dpc", "raised-path")
    data = json.loads((tmp_path / "mine.json").read_text("utf-8"))
    assert json.loads(dampwright("--record", "--json").stdout) == data
    assert data["exercises"][0]["review"]["verdict"] == "right"
    assert dampwright("--export", "mine.csv").exit_code == 1
    assert dampwright("--export", "mine.txt").exit_code == 2
    assert dampwright("--delete").exit_code == 2
    assert "Nothing is practised" not in dampwright("--record").stdout
    assert dampwright("--delete", "--yes").exit_code == 0
    assert "Nothing is practised yet" in dampwright("--record").stdout


@pytest.mark.parametrize("options", [(), ("--no-input",)])
def test_without_a_terminal_and_lines_it_fails_at_once_and_lists_what_is_missing(dampwright, options):
    done = dampwright("raised-path", *options)
    assert done.exit_code == 2
    for part in ("what to ask for", "causes", "timber", "steps", "cautions"):
        assert part in done.stderr


def test_lines_that_end_early_are_kept_and_it_is_partly_done(practised):
    code, out, _ = practised(["tide line across"], "raised-path")
    assert code == 5
    assert "Everything is saved." in out
    code, out, _ = practised(["seen", "conclude", "bridged-dpc 80", "watch"])
    assert code == 5
    assert "a tide line across the wall: yes" in out
    code, out, _ = practised(["", ""])
    assert code == 0
    assert "What should happen next?" in out
    assert "Which cause or causes" not in out
    assert "Right: bridged damp-proof course." in out


def test_a_session_that_ended_before_its_review_gets_it_the_next_time(practised, tmp_path, rulebook, trainees):
    with Record(tmp_path / "record") as record:
        practice = Practice(record, trainees.worked("raised-path", rulebook), rulebook)
        for part, value in (("causes", {"bridged-dpc": 0.9}), ("timber", ["watch"]), ("steps", ()), ("cautions", ())):
            practice.conclude(part, "", value)
    code, out, _ = practised([])
    assert code == 0
    assert "Right: bridged damp-proof course." in out
    _, out, _ = practised(["leave"])
    assert out.startswith("Exercise 2")


def test_a_new_case_is_called_synthetic_from_its_brief_to_the_record(practised, dampwright):
    code, out, _ = practised(["air", "conclude", "humid 60", "watch", "", ""], new=3)
    assert code == 0
    assert out.startswith("Exercise 1, a synthetic case, made by the program.")
    assert "What is true of this case was made up with it" in out
    assert "synthetic" in dampwright("--record", "--plain").stdout


def test_the_next_case_is_another_and_one_under_way_is_gone_on_with(practised):
    _, first, _ = practised(["leave"])
    _, again, _ = practised(["leave"])
    assert again == first
    _, other, _ = practised(["leave"], another=True)
    assert other.splitlines()[2] != first.splitlines()[2]


def test_a_wish_for_topic_or_level_begins_a_case_of_it(practised):
    practised(["leave"])
    _, hard, _ = practised(["leave"], level=4)
    assert hard.startswith("Exercise 2")
    code, _, err = practised(["leave"], topic="gardening")
    assert code == 2
    assert "ground-moisture" in err


def test_what_is_not_there_is_said_with_the_nearest(dampwright):
    done = dampwright("raised-pth", lines="leave\n")
    assert done.exit_code == 3
    assert "raised-path" in done.stderr
    done = dampwright("raised-path", "--area", "back-rom", lines="leave\n")
    assert done.exit_code == 3
    assert "back-room" in done.stderr


def test_a_case_that_was_changed_meanwhile_is_not_gone_on_with(practised, tmp_path, rulebook):
    path = tmp_path / "mine.yaml"
    text = (own_casebook() / "demo" / "raised-path.yaml").read_text("utf-8")
    path.write_text(text, encoding="utf-8")
    practised(["tide line across", "leave"], str(path))
    path.write_text(text.replace("value: -60", "value: -50"), encoding="utf-8")
    code, _, err = practised(["leave"])
    assert code == 1
    assert "not what it was" in err
    assert "--another" in err


@pytest.mark.skipif(os.name == "nt", reason="signals differ there")
def test_an_interrupted_session_says_how_to_go_on(tmp_path):
    session = subprocess.Popen(
        [sys.executable, "-u", "-m", "cli", "practise", "raised-path", "--data", str(tmp_path / "record")],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
    )
    session.stdin.write("tide line across\n")
    session.stdin.flush()
    while "3 min" not in (line := session.stdout.readline()):
        assert line
    session.send_signal(signal.SIGINT)
    out, err = session.communicate()
    assert session.returncode == 130
    assert "Go on with: dampwright practise --data" in out
    assert "Traceback" not in err


@pytest.mark.skipif(os.name == "nt", reason="no SIGKILL there")
@pytest.mark.parametrize("asked", [1, 3])
def test_a_session_killed_after_an_answer_has_it(asked, practised, tmp_path):
    lines = ["tide line across", "nearly continuous band", "black spot mould", "storey of the damp place"]
    session = subprocess.Popen(
        [sys.executable, "-u", "-m", "cli", "practise", "raised-path", "--data", str(tmp_path / "record"), "--plain"],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
    )
    for line in lines[:asked]:
        session.stdin.write(f"{line}\n")
        session.stdin.flush()
        while f"> {line}" not in (shown := session.stdout.readline()):
            assert shown
        while "The case does not say" not in (shown := session.stdout.readline()) and " min, " not in shown:
            assert shown
    session.send_signal(signal.SIGKILL)
    session.communicate()
    code, out, _ = practised(["seen", "leave"])
    assert code == 0
    assert f"You have asked for {asked} things so far" in out


def test_a_sealed_case_is_practised_and_reviewed_with_its_key(practised, tmp_path, rulebook):
    whole = read_case(own_casebook() / "demo" / "raised-path.yaml", vocabulary=rulebook)
    sealed, key = seal(whole, rulebook)
    path, lock = tmp_path / "practice.yaml", tmp_path / "practice.key.json"
    path.write_text(write_case(sealed), encoding="utf-8")
    lock.write_text(key_text(key), encoding="utf-8")
    code, out, _ = practised(["tide line across", *CONCLUSION], str(path))
    assert code == 0
    assert "kept apart" in out
    assert "Right" not in out
    code, out, _ = practised([], str(path), key=lock)
    assert code == 0
    assert "Right: bridged damp-proof course." in out
    assert "Ground moisture on one length of wall" in " ".join(out.split())


def test_the_key_of_another_case_is_refused(practised, tmp_path, rulebook):
    keys = []
    for name in ("raised-path", "plume-under-a-sill"):
        whole = read_case(next(own_casebook().glob(f"*/{name}.yaml")), vocabulary=rulebook)
        sealed, key = seal(whole, rulebook)
        (tmp_path / f"{name}.yaml").write_text(write_case(sealed), encoding="utf-8")
        keys.append(tmp_path / f"{name}.json")
        keys[-1].write_text(key_text(key), encoding="utf-8")
    from engine.errors import InvalidInput

    with pytest.raises(InvalidInput, match="belongs to"):
        practised(["leave"], str(tmp_path / "raised-path.yaml"), key=keys[1])


def test_text_of_a_case_is_shown_as_text(practised, tmp_path, rulebook):
    case = read_case(own_casebook() / "demo" / "raised-path.yaml", vocabulary=rulebook)
    data = case.model_dump(mode="json", exclude_none=True)
    data["dwelling"]["title"] = "[bold red]house[/] {truth} \\x1b"
    data["areas"][0]["facts"][11]["note"] = "[link=x]{cause}[/link] %s"
    path = tmp_path / "odd.yaml"
    path.write_text(write_case(Case.model_validate_json(json.dumps(data))), encoding="utf-8")
    attribute = data["areas"][0]["facts"][11]["attribute"]
    code, out, _ = practised([attribute.replace("-", " "), attribute, *CONCLUSION], str(path))
    assert code == 0
    assert "[bold red]house[/] {truth}" in out


def test_before_the_conclusion_nothing_printed_tells_the_answer_of_any_case(rulebook, trainees, capsys):
    """Brief, replies and costs of every worked area, and what is the same for all, against every text of their keys."""
    page = Page(results(plain=True))
    practice.show_help(page)
    practice.show_catalogue(rulebook, "", page)
    same = capsys.readouterr().out
    for one in trainees.all_worked(rulebook):
        practice.show_brief(one, rulebook, 1, page)
        known = {piece[1] for piece in answer_pieces(one.case, one.area)}
        for request in [*trainees.measurements(one), *(Request("question", name) for name in sorted(known))]:
            with contextlib.suppress(NotMeasured):
                practice.show_reply(reply(one, rulebook, request, ()), page)
        text = " ".join((same + capsys.readouterr().out).lower().split())
        secrets = [one.lesson, one.key.junior_says, one.key.source, one.case.title]
        secrets += [rulebook.title(cause) for cause in (*one.key.truth, *([one.key.junior] if one.key.junior else []))]
        for secret in filter(None, secrets):
            assert " ".join(secret.lower().split()) not in text, (one.source.name, one.area.id, secret)
