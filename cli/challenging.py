"""`challenge`: a stated conclusion against the evidence; the inspector's own, recorded before anything is shown."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from cli.exits import FAILURE, USAGE
from cli.inputs import is_workbook, open_rulebook, written_case

if TYPE_CHECKING:
    from engine.case.models import Area, Case, Conclusion
    from engine.challenging import Challenge
    from engine.documents import Document
    from engine.rulebook import Rulebook

SURENESS = ("certain", "fairly-sure", "not-sure")


@dataclass(frozen=True, slots=True)
class Opened:
    """A case file as read, and the area in question."""

    path: Path
    text: str
    document: Document
    case: Case
    area: Area


def run(
    path: Path,
    area: str | None,
    *,
    held: Sequence[str],
    grounds: Sequence[str],
    blind: bool,
    sureness: str | None,
    again: bool,
    as_json: bool,
    plain: bool,
    rules: Sequence[Path] | None,
    chainer: str,
) -> None:
    """Audit a conclusion and print the result; with ``blind`` it is written into the case before anything is shown."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if not blind and (again or sureness):
        _stop("--sureness and --again belong to --blind", USAGE)
    if blind and is_workbook(path):
        said = "a workbook is not written into; make a case file of it first"
        _stop(f"{path}: {said}: dampwright case make --from {path} -o {path.with_suffix('.yaml')}", FAILURE)
    from engine.case.migrating import refuse_old
    from engine.challenging.auditing import stated

    rulebook = open_rulebook(rules)
    opened = _open(path, area, rulebook)
    if blind:
        refuse_old(opened.document)
    if blind:
        _refuse_another(opened, again=again)
    named, grounds = _split(held), _split(grounds)
    causes = stated(rulebook, named, grounds)
    if not named:
        causes = _ask_causes(opened, rulebook) if blind else _recorded(opened)
    grade = sureness or _ask_sureness() if blind else ""
    audit = _audit(opened, rulebook, causes, tuple(grounds), chainer)
    if blind:
        _record(opened, rulebook, audit, grade)
    _show(audit, as_json=as_json, plain=plain)


def _open(path: Path, area: str | None, rulebook: Rulebook) -> Opened:
    from engine.case import parse_case
    from engine.documents import read_document
    from engine.errors import InvalidInput, Problem, nearest

    text, named = written_case(path, rulebook)
    document = read_document(named, text=text)
    case = parse_case(document, rulebook)
    names = [one.id for one in case.areas]
    if area is None and len(names) > 1:
        _stop(f"{path}: say which area is meant: {', '.join(names)}", USAGE)
    chosen = next((one for one in case.areas if area in (None, one.id)), None)
    if chosen is None:
        allowed, near = f"one of {', '.join(names)}", nearest(area or "", names)
        raise InvalidInput([Problem(str(path), None, "AREA", repr(area), allowed, nearest=near)])
    return Opened(path, text, document, case, chosen)


def _audit(
    opened: Opened, rulebook: Rulebook, causes: tuple[str, ...], grounds: tuple[str, ...], chainer: str
) -> Challenge:
    from engine.challenging import challenge
    from engine.opinion.reasoner import Reasoner
    from engine.opinion.weighing import gather

    reasoner = Reasoner(rulebook, chainer)
    known = gather(reasoner, opened.case, opened.area, opened.path.parent)
    return challenge(reasoner, opened.area, known, causes, grounds)


def _recorded(opened: Opened) -> tuple[str, ...]:
    """What the case itself holds as the inspector's conclusion."""
    conclusion = opened.area.conclusion
    if conclusion is None or not (conclusion.causes or conclusion.blind):
        _stop(f"area {opened.area.id} holds no conclusion; say which is meant: --held CAUSE[,CAUSE]", USAGE)
    return conclusion.causes


def _refuse_another(opened: Opened, *, again: bool) -> None:
    conclusion = opened.area.conclusion
    if conclusion is None:
        return
    if conclusion.signed_by:
        _stop(f"{opened.path}: the conclusion on area {opened.area.id} is signed and stays as it is", FAILURE)
    if not again:
        _stop(
            f"{opened.path}: area {opened.area.id} has a conclusion already, and it stays; --again replaces its causes "
            "and sureness, though what is recorded after an opinion was seen is no longer blind",
            FAILURE,
        )


def _record(opened: Opened, rulebook: Rulebook, audit: Challenge, sureness: str) -> None:
    """Write the inspector's conclusion, and the opinion beside it, before anything is shown."""
    from engine.case.concluding import with_conclusion
    from engine.case.saving import save_over

    conclusion = _conclusion(opened, rulebook, audit, sureness)
    new = with_conclusion(opened.text, opened.document, opened.area.id, conclusion)
    if new is None:
        said = "its area is written in a way in which lines cannot be added without rewriting the file"
        _stop(f"{opened.path}: left as it is: {said}; put the area's fields on lines of their own", FAILURE)
    save_over(opened.path, new, opened.text)
    print(f"{opened.path}: the conclusion on area {opened.area.id} is recorded", file=sys.stderr)


def _conclusion(opened: Opened, rulebook: Rulebook, audit: Challenge, sureness: str) -> Conclusion:
    import json

    from engine.case.models import Conclusion

    seen = opened.area.conclusion is not None
    data = {
        "causes": [item.cause for item in audit.held],
        "sureness": sureness,
        "blind": not seen,
        "opinion": {"determined": audit.determined, "leading": list(audit.leading), "rulebook": rulebook.digest},
    }
    return Conclusion.model_validate_json(json.dumps(data))


def _ask_causes(opened: Opened, rulebook: Rulebook) -> tuple[str, ...]:
    from engine.challenging.auditing import NOTHING, stated
    from engine.errors import InvalidInput

    _need_terminal("--held")
    for cause in rulebook.causes.values():
        print(f"  {cause.id}: {cause.title}", file=sys.stderr)
    print(f"  {NOTHING}: nothing wets the place now", file=sys.stderr)
    while True:
        answer = _answer(f"Which of these do you hold for {opened.area.title}? (names, with commas between) ")
        try:
            if answer:
                return stated(rulebook, _split([answer]))
        except InvalidInput as fault:
            for problem in fault.problems:
                print(problem.sentence(), file=sys.stderr)


def _ask_sureness() -> str:
    _need_terminal("--sureness")
    while True:
        answer = _answer(f"How sure are you? ({', '.join(SURENESS)}) ").replace(" ", "-")
        if answer in SURENESS:
            return answer


def _need_terminal(option: str) -> None:
    if not sys.stdin.isatty():
        _stop(f"--blind asks on a terminal; without one, give {option}", USAGE)


def _answer(prompt: str) -> str:
    print(prompt, end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline()
    if not line:
        raise KeyboardInterrupt
    return line.strip().lower()


def _split(values: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(part.strip() for value in values for part in value.split(",") if part.strip()))


def _show(audit: Challenge, *, as_json: bool, plain: bool) -> None:
    if as_json:
        from engine.opinion import to_json

        sys.stdout.write(to_json(audit))
        return
    from cli.views.challenge import show_challenge
    from cli.views.console import results

    show_challenge(audit, results(plain=plain))


def _stop(message: str, code: int) -> NoReturn:
    print(message, file=sys.stderr)
    sys.exit(code)
