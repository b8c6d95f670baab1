"""Practice sessions: played in this process over scripted lines, or by the program itself."""

from __future__ import annotations

import io
import re
import sys

import pytest
from typer.testing import CliRunner


@pytest.fixture
def practised(tmp_path, monkeypatch, capsys):
    """Plays a session over some lines and gives exit code and output; the record lies in a folder of the test's own."""
    from cli.practising.opening import Wanted
    from cli.practising.session import run

    def play(lines, case=None, **wanted):
        asked = {"area": None, "topic": None, "level": None, "new": None, "key": None, "another": False}
        asked |= {"data": tmp_path / "record", "no_input": False, "plain": True, "rules": None, **wanted}
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        code = 0
        try:
            run(Wanted(case=case, **asked))
        except SystemExit as end:
            code = end.code
        said = capsys.readouterr()
        return code, plain(said.out, tmp_path), plain(said.err, tmp_path)

    return play


def plain(text, folder):
    """Output without the blanks that end lines and without the test's own folder."""
    text = re.sub(r"\s+".join(map(re.escape, re.split(r"\s+", str(folder)))), "FOLDER", text)
    return re.sub(r"[ \t]+$", "", text, flags=re.MULTILINE)


@pytest.fixture
def dampwright(tmp_path, monkeypatch):
    """Runs `dampwright practise` as the shell would, in this process: result with exit_code, stdout and stderr."""
    from cli.main import app

    monkeypatch.chdir(tmp_path)
    surroundings = {"DAMPWRIGHT_DATA": str(tmp_path / "record"), "COLUMNS": "80", "NO_COLOR": "1"}

    def program(*arguments, lines=""):
        return CliRunner().invoke(app, ["practise", *map(str, arguments)], input=lines, env=surroundings)

    return program
