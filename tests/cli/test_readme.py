"""The README prints what the program prints, digests apart. DAMPWRIGHT_REFRESH=1 writes the present output into it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"


def block(name):
    return re.compile(rf"(<!-- output: {name} -->\n```text\n)(.*?)(```\n)", re.DOTALL)


def printed(*arguments):
    done = subprocess.run(
        [sys.executable, "-m", "cli", *arguments],
        cwd=ROOT,
        capture_output=True,
        check=True,
        env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"},
    )
    return done.stdout.decode("utf-8").replace("\r\n", "\n")


def without_digests(text):
    """The digests change with every record; a reader of the README needs none of them."""
    return re.sub(r"\b[0-9a-f]{12}\b", "digest", text)


@pytest.mark.parametrize(("name", "arguments"), [("demo", ["demo"])])
def test_the_readme_shows_what_the_program_prints(name, arguments):
    text = README.read_text(encoding="utf-8")
    found = block(name).search(text)
    assert found
    output = printed(*arguments)
    if os.environ.get("DAMPWRIGHT_REFRESH"):
        README.write_text(text[: found.start(2)] + output + text[found.end(2) :], encoding="utf-8", newline="\n")
        return
    assert without_digests(found.group(2)) == without_digests(output)
