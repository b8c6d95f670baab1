"""`ask`: a new case, or one that goes on; its answers are the case file and nothing else."""

from __future__ import annotations

import getpass
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from cli.exits import FAILURE, INTERRUPTED, INVALID, PARTLY, USAGE
from cli.inputs import open_rulebook

if TYPE_CHECKING:
    from cli.interview.lines import Lines
    from cli.views.page import Page
    from engine.case.store import Store
    from engine.inquiry.session import Session
    from engine.rulebook import Rulebook


@dataclass(frozen=True)
class Wanted:
    """What the command line asks for."""

    case: Path
    area: str | None
    visit: str | None
    topic: str | None
    quick: bool
    site_list: bool
    no_input: bool
    author: str | None
    plain: bool
    rules: Sequence[Path] | None

    @property
    def resume(self) -> str:
        """The command that goes on with this session."""
        name = f'"{self.case}"' if " " in str(self.case) else str(self.case)
        folders = "".join(f" --rules {folder}" for folder in self.rules or ())
        return f"dampwright ask {name}{folders}"


def run(wanted: Wanted) -> None:
    """Hold the session; every way in which it can end has its exit code."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from cli.interview.lines import Lines
    from cli.views.console import results
    from cli.views.page import Page
    from engine.case.locking import Busy

    rulebook = open_rulebook(wanted.rules)
    page = Page(results(plain=wanted.plain or not sys.stdout.isatty()))
    if wanted.site_list:
        _site_list(wanted, rulebook, page)
        return
    lines = Lines(allowed=not wanted.no_input)
    try:
        store = _opened(wanted, rulebook, lines, page)
    except Busy as fault:
        print(f"{fault}. Nothing was changed; close that session first.", file=sys.stderr)
        sys.exit(FAILURE)
    except OSError as fault:
        said = f"{fault.strerror or fault}: answers could not be saved here, so nothing is asked"
        print(f"{fault.filename or wanted.case}: {said}", file=sys.stderr)
        sys.exit(FAILURE)
    with store:
        code = _held(wanted, store, rulebook, lines, page)
    if code:
        sys.exit(code)


def _opened(wanted: Wanted, rulebook: Rulebook, lines: Lines, page: Page) -> Store:
    from cli.interview.setting_up import NEEDED, new_case
    from engine.case.store import Store
    from engine.case.writing import is_json, json_text
    from engine.documents import read_document

    author = wanted.author or _user()
    if wanted.case.exists():
        return Store(wanted.case, rulebook, author, datetime.now)
    if wanted.case.suffix.lower() not in (".yaml", ".yml", ".json"):
        print(f"{wanted.case}: the name of a case ends in .yaml or .json", file=sys.stderr)
        sys.exit(USAGE)
    text = new_case(lines, page, datetime.now().date())
    if text is None:
        print(f"No answers came. A new case needs {', '.join(NEEDED)}.", file=sys.stderr)
        sys.exit(USAGE)
    if is_json(wanted.case):
        text = json_text(read_document(Path("case.yaml"), text=text).data)
    return Store.begin(wanted.case, text, rulebook, author, datetime.now)


def _held(wanted: Wanted, store: Store, rulebook: Rulebook, lines: Lines, page: Page) -> int:
    from cli.interview.loop import Interview

    interview = Interview(_session(wanted, store, rulebook), lines, page, wanted.resume)
    session = interview.session
    page.line(f"{store.case.title}: {session.area.title}. Type help at any prompt; every answer is saved at once.")
    try:
        code = interview.run()
    except KeyboardInterrupt:
        print()
        interview.say_where_to_go_on()
        return INTERRUPTED
    if code == PARTLY and lines.read == 0:
        print("No answers came, from a terminal or piped in. Still open, best first:", file=sys.stderr)
        for name in session.best_open():
            print(f"  {name}: {rulebook.questions[name].prompt}", file=sys.stderr)
        return USAGE
    return code


def _session(wanted: Wanted, store: Store, rulebook: Rulebook) -> Session:
    from engine.inquiry.session import Session
    from engine.opinion.reasoner import Reasoner

    areas, visits = [area.id for area in store.case.areas], [visit.id for visit in store.case.visits]
    area = _one_of("--area", wanted.area, areas, areas[0])
    visit = _one_of("--visit", wanted.visit, visits, max(store.case.visits, key=lambda visit: visit.on).id)
    session = Session(store, Reasoner(rulebook, "python"), area, visit, "quick" if wanted.quick else "full")
    if wanted.topic is not None:
        session.open_topic(_one_of("--topic", wanted.topic, list(rulebook.topics), ""))
    return session


def _one_of(option: str, name: str | None, names: list[str], default: str) -> str:
    if name is None:
        return default
    if name not in names:
        print(f"{option}: {name!r} is not one of {', '.join(names)}", file=sys.stderr)
        sys.exit(USAGE)
    return name


def _site_list(wanted: Wanted, rulebook: Rulebook, page: Page) -> None:
    from cli.inputs import open_case
    from cli.views.site_list import show_site_list
    from engine.inquiry.site_list import site_list
    from engine.opinion.reasoner import Reasoner

    if not wanted.case.exists():
        print(f"{wanted.case}: no such case", file=sys.stderr)
        sys.exit(INVALID)
    case = open_case(wanted.case, rulebook)
    reasoner = Reasoner(rulebook, "python")
    show_site_list(site_list(reasoner, case, wanted.case.parent, wanted.area), page)


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"
