"""`ask` from the shell: piped answers, no answers, a second session, what was measured, the list for the next visit."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from cli.interview.commands import perform
from cli.interview.understanding import Command
from engine.case import read_case
from engine.case.locking import Lock
from engine.inquiry.session import Answer

ROOT = Path(__file__).parents[3]
SET_UP = "Damp in the back room\nAn invented terrace\n2026-03-11\nBack room\n\n"


def ask(*arguments, answers="", folder, **environment):
    return subprocess.run(
        [sys.executable, "-m", "cli", "ask", *map(str, arguments)],
        cwd=folder,
        input=answers,
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
    )


@pytest.fixture
def begun(interviews, worked, rulebook, tmp_path):
    return interviews.begun(tmp_path / "visit.yaml", worked("raised-path"), rulebook)


def test_a_new_case_is_begun_answered_and_gone_on_with(tmp_path, rulebook):
    first = ask("visit.yaml", answers=SET_UP + "no\nyes; behind the cooker\nstop\n", folder=tmp_path)
    assert first.returncode == 0, first.stderr
    assert "Go on with: dampwright ask visit.yaml" in first.stdout
    assert "CAUTION: Water and electricity" in first.stdout
    again = ask("visit.yaml", answers="stop\n", folder=tmp_path)
    assert "smell of gas" not in again.stdout
    case = read_case(tmp_path / "visit.yaml", vocabulary=rulebook)
    assert case.areas[0].facts[0].note == "behind the cooker"


def test_answers_that_end_early_are_saved_and_it_is_partly_done(begun, tmp_path):
    done = ask(begun, answers="no\nno\n", folder=tmp_path)
    assert done.returncode == 5
    assert "Everything answered is saved" in done.stdout


@pytest.mark.parametrize("options", [(), ("--no-input",)])
def test_without_a_terminal_and_answers_it_fails_at_once_and_lists_what_is_missing(begun, tmp_path, options):
    before = begun.read_bytes()
    done = ask(begun, *options, folder=tmp_path)
    assert done.returncode == 2
    assert "gas-smell-or-alarm: Is there a smell of gas" in done.stderr
    assert begun.read_bytes() == before
    new = ask("new.yaml", *options, folder=tmp_path)
    assert new.returncode == 2
    assert "the day of the visit" in new.stderr
    assert not (tmp_path / "new.yaml").exists()


def test_a_second_session_is_told_and_changes_nothing(begun, tmp_path, interviews):
    with Lock(begun, "the first", interviews.clock()):
        done = ask(begun, answers="no\n", folder=tmp_path)
    assert done.returncode == 1
    assert "open in another session (the first, process" in done.stderr


def test_plain_text_on_any_console_and_user_text_as_text(tmp_path):
    answers = SET_UP.replace("Back room", "[bold red]Room[/] – north") + "no; [green]x[/]\nlist\nstop\n"
    done = ask("visit.yaml", answers=answers, folder=tmp_path, NO_COLOR="1", PYTHONIOENCODING="cp1252")
    assert done.returncode == 0, done.stderr
    assert "[bold red]Room[/]" in done.stdout
    assert "no; [green]x[/]" in done.stdout
    assert "\x1b" not in done.stdout
    assert max(len(line) for line in done.stdout.splitlines() if not line.startswith(">")) <= 80


def test_an_unknown_area_visit_or_topic_is_said_with_those_there_are(begun, tmp_path):
    for option in ("--area", "--visit", "--topic"):
        done = ask(begun, option, "nowhere", answers="no\n", folder=tmp_path)
        assert done.returncode == 2
        assert f"{option}: 'nowhere' is not one of" in done.stderr


def test_what_was_measured_is_typed_in_and_counts(tmp_path, rulebook):
    measured = (
        "readings pins 0:28 75:30/29 150:26 300:24 at 0,5 m\n4,2 m x 2400\nlime plaster\nwood\n"
        "dry pins 11 11,5 11\nair 19,5 C 54%\nsurface 13.2 C\nreadings wall.csv\nreadings paste\n"
        "x_mm;y_mm;instrument;value\n900;75;pins;29\n\nreadings pins 0:x at 5\nstop\n"
    )
    (tmp_path / "wall.csv").write_text(
        "x_mm,y_mm,instrument,value\n1500,75,pins,28\n1500,300,pins,22\n", encoding="utf-8"
    )
    done = ask("visit.yaml", answers=SET_UP + measured, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    area = read_case(tmp_path / "visit.yaml", vocabulary=rulebook).areas[0]
    surface = area.surfaces[0]
    assert len(surface.readings) == 7
    assert surface.readings[1].repeats == (29,)
    assert surface.dry_references[0].repeats == (11.5, 11)
    assert (area.air[0].temperature_c, area.air[0].humidity_percent) == (19.5, 54)
    assert area.surface_temperatures[0].temperature_c == 13.2
    assert "Found 'x': write the number alone." in done.stdout


def test_a_pasted_table_asks_for_the_wall_and_the_meter_that_the_case_has_not_and_leaves_no_copy(tmp_path, rulebook):
    table = "point;x;height;method;value;time\nA;900;75;pins;29;10:40\nB;900;600;pins;27;10:41\n\n"
    sides = "wide\n4.2 m x 2.4 m\ngypsum plaster\nwood\n"
    done = ask(
        "visit.yaml", answers=f"{SET_UP}readings paste\n{table}{sides}stop\n", folder=tmp_path, TMPDIR=str(tmp_path)
    )
    assert "2 readings from the pasted table saved." in done.stdout, done.stderr
    assert "Found 'wide'" in done.stdout
    surface = read_case(tmp_path / "visit.yaml", vocabulary=rulebook).areas[0].surfaces[0]
    assert (surface.width_mm, surface.height_mm, surface.material) == (4200, 2400, "gypsum-plaster")
    assert [reading.note for reading in surface.readings] == ["point A; at 10:40", "point B; at 10:41"]
    assert sorted(one.name for one in tmp_path.iterdir()) == ["visit.yaml", "visit.yaml.journal"]


def test_the_list_for_the_next_visit_begins_outside_and_says_what_to_bring_and_where_to_press(begun, tmp_path):
    done = ask(begun, "--site-list", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    text = done.stdout
    places = [text.index(name) for name in ("Bring", "Outside,", "Ask whoever", "Inside, look", "Inside, press")]
    assert places == sorted(places)
    assert "above the floor" in text


def test_an_answer_that_cannot_be_saved_is_printed(begun, interviews, reasoner, monkeypatch, capsys):
    store, interview = interviews.opened(begun, reasoner, interviews.Player({}, {1: ["no; in the hall"]}))

    def full(*arguments):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with store:
        monkeypatch.setattr("engine.case.store.save_over", full)
        assert interview.run() == 1
    shown = capsys.readouterr().out
    assert "NOT SAVED" in shown
    shown = " ".join(shown.split())
    assert "No space left on device" in shown
    assert "- {attribute: gas-smell-or-alarm, value: no, basis: told, note: in the hall}" in shown


def test_answers_that_no_longer_apply_are_kept_and_not_weighed_and_come_back(
    begun, interviews, reasoner, rulebook, capsys
):
    store, interview = interviews.opened(begun, reasoner, interviews.Player({}))
    with store:
        session = interview.session
        session.answer("storey", Answer("ground-floor"), "test")
        session.answer("dpc-injection-holes", Answer("yes", "fairly-sure", "two rows"), "test")
        whole = read_case(begun, vocabulary=rulebook)
        without = session.knowledge.weighed(
            {name: fact for name, fact in session.state.facts.items() if name != "dpc-injection-holes"}
        )
        assert session.state.belief.leanings != without.belief.leanings
        storey = rulebook.questions["storey"]
        interview.record(storey, Answer("upper-floor"), session.recorded("storey"))
        perform(interview, storey, Command("list"))
        kept = session.recorded("dpc-injection-holes")
        assert (kept["value"], kept["note"]) == ("not-applicable", "two rows; was yes while its question applied")
        fired = {fact.attribute for firing in session.state.evidence.firings for fact in firing.matched}
        assert "dpc-injection-holes" not in fired
        interview.record(storey, Answer("ground-floor"), session.recorded("storey"))
        assert read_case(begun, vocabulary=rulebook) == whole
    shown = " ".join(capsys.readouterr().out.split())
    assert "Kept, but not weighed, as the question no longer applies: dpc-injection-holes." in shown
    assert "dpc-injection-holes: not applicable, fairly sure; two rows; was yes while its question applied" in shown
    assert "Weighed again, as the question applies again: dpc-injection-holes." in shown


def test_what_is_put_off_is_remembered_and_has_its_turn_once_in_each_session(begun, interviews, reasoner, capsys):
    def stopped_at(number, planned):
        store, interview = interviews.opened(begun, reasoner, interviews.Player({}, {**planned, number: ["stop"]}))
        with store:
            interview.run()
            return interview.session, interview.asked

    session, _ = stopped_at(4, {2: ["later"]})
    (name,) = session.later
    again, asked = stopped_at(4, {})
    assert again.later == {name}
    assert name not in asked
    store, interview = interviews.opened(begun, reasoner, interviews.Player({name: "later"}))
    with store:
        assert interview.run() == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert shown.count(f"Now what was put off: {name}.") == 1
    assert f"Put off until next time: {name}." in shown


def test_a_later_that_cannot_be_kept_is_said(begun, interviews, reasoner, monkeypatch, capsys):
    store, interview = interviews.opened(begun, reasoner, interviews.Player({}, {1: ["later"], 2: ["stop"]}))

    def full(*arguments, **named):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with store:
        monkeypatch.setattr("engine.case.store.append_put_off", full)
        assert interview.run() == 0
    assert "Put off for this session only: No space left on device." in capsys.readouterr().out


def test_a_note_stays_with_the_answer_that_follows_it(tmp_path, rulebook):
    done = ask("visit.yaml", answers=SET_UP + "note the hall smelt odd\nno\nstop\n", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    fact = read_case(tmp_path / "visit.yaml", vocabulary=rulebook).dwelling.facts[0]
    assert (fact.value, fact.note) == ("no", "the hall smelt odd")
