"""The README prints what the program prints, digests apart. DAMPWRIGHT_REFRESH=1 writes the present output into it.

An output may be trimmed: it is then made of pieces, each from the line that begins so up to the line that begins so,
and every gap between them bears a mark.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"


GAP = "[…]\n"
FIRST, SECOND = (f"casebook/regression/{name}.yaml" for name in ("band-after-the-drain", "old-salts-after-the-drain"))
WHAT_IF = ["explain", FIRST, "--if", "gravimetric-state=hygroscopic-only"]
SHOWN = {
    "demo": (["demo"], None),
    "first-opinion": (
        ["weigh", FIRST],
        [("Not determined", "  condensation from humid room air")],
    ),
    "first-challenge": (
        ["challenge", FIRST, "--held", "ground-rise"],
        [
            ("The opinion is not determined", "What supports it"),
            ("Its rivals on the same evidence", "  - made, against"),
            ("Works", "  - Chemical damp-proof course"),
            ("The cheapest test", "    - The capacitance meter"),
        ],
    ),
    "what-if": (WHAT_IF, [("What if", "    - Condensation from humid room air")]),
    "second-opinion": (
        ["weigh", SECOND],
        [("Determined", "    - against: not found: surface at mould humidity")],
    ),
    "why-not": (
        ["explain", SECOND, "--why-not", "ground-rise"],
        [
            ("Why not", "        - The shape that the readings make"),
            ("    - Not found: more water at the wall foot", "    - Not found: the capacitance meter"),
        ],
    ),
    "second-challenge": (
        ["challenge", SECOND, "--held", "residual-salts"],
        [("The opinion agrees", "What speaks against it")],
    ),
}
"""What the README shows: a command, and the pieces of its output; None for all of it."""


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


def trimmed(output, pieces):
    """The pieces of an output in their order, with a mark wherever something before, between or after is left out."""
    if pieces is None:
        return output
    lines, at, made = output.splitlines(keepends=True), 0, []
    for start, stop in pieces:
        first = next(i for i in range(at, len(lines)) if lines[i].startswith(start))
        last = next(i for i in range(first + 1, len(lines)) if lines[i].startswith(stop))
        made += [GAP] if first > at else []
        made += lines[first:last]
        at = last
    return "".join(made + ([GAP] if at < len(lines) else []))


@pytest.mark.parametrize("name", SHOWN)
def test_the_readme_shows_what_the_program_prints(name):
    text = README.read_text(encoding="utf-8")
    found = block(name).search(text)
    assert found
    arguments, pieces = SHOWN[name]
    output = trimmed(printed(*arguments), pieces)
    if os.environ.get("DAMPWRIGHT_REFRESH"):
        README.write_text(text[: found.start(2)] + output + text[found.end(2) :], encoding="utf-8", newline="\n")
        return
    assert without_digests(found.group(2)) == without_digests(output)


def test_each_output_stands_once_in_order_below_the_command_that_prints_it():
    text = README.read_text(encoding="utf-8")
    assert [name for name in re.findall(r"<!-- output: ([a-z-]+) -->", text) if name in SHOWN] == list(SHOWN)
    for arguments, pieces in SHOWN.values():
        command = " ".join(["dampwright", *arguments])
        assert pieces is None or f"```sh\n{command}\n```" in text, command
