"""The worker: one case in, one line of JSON out, and never an exception for anything that stands in the case.

A result is `weighed`, with what a caseload is sorted by for each area, or a `fault`, with what is wrong. ``key`` is
the SHA-256 of what was read and ``beside`` those of the files that the case names, so that a result can be told to
hold still. No day of today enters a result.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from engine.errors import InvalidInput, Problem
from engine.inert import encodable
from engine.version import VERSION

if TYPE_CHECKING:
    from engine.case.models import Case
    from engine.opinion.models import AreaOpinion, CauseOpinion, Opinion
    from engine.opinion.reasoner import Reasoner

WEIGHED, FAULT = "weighed", "fault"
MOST_FAULTS = 20
"""Faults of one case that are listed; more are counted only."""
MISSING = 5
"""How many of the open findings are named as missing, those first that would tell most."""
WORTH_BITS = 0.01
"""An open finding that would tell less than this [bits] is not missed."""


def sweep_line(
    line: str,
    *,
    name: str = "line",
    number: int = 1,
    folder: Path | None = None,
    rules: Sequence[str] = (),
    chainer: str = "auto",
) -> str:
    """The result for a case that stands on one line as a JSON object, itself one line of JSON.

    ``name`` and ``number`` say in messages where the line stands. ``folder`` holds the files that the case names;
    without it they are not read. ``rules`` are folders of further records, ``chainer`` is auto, durable or python.
    InvalidInput only for a rule base that is not sound; whatever is wrong with the case is in the result.
    """
    from engine.case import parse_case
    from engine.documents import read_document

    reasoner = reasoner_for(tuple(rules), chainer)

    def read() -> Case:
        try:
            document = read_document(Path(f"{name}.json"), text=line, placed=False)
            return parse_case(replace(document, name=name, lines={(): number}), reasoner.rulebook)
        except InvalidInput as fault:
            raise InvalidInput(replace(one, file=name, line=number) for one in fault.problems) from None

    return _result(key_of_text(line), read, name, folder, reasoner)


def sweep_file(path: Path, *, rules: Sequence[str] = (), chainer: str = "auto") -> str:
    """The result for a case file or a filled-in workbook, as for `sweep_line`; files beside it are read."""
    from engine.case import read_case

    reasoner = reasoner_for(tuple(rules), chainer)
    return _result(
        key_of_file(path),
        lambda: read_case(path, vocabulary=reasoner.rulebook),
        str(path),
        path.parent,
        reasoner,
    )


def fault_result(problems: Iterable[Problem], key: str | None = None) -> str:
    """The result for a case of which no more is known than what is wrong."""
    found = list(problems)
    faults = [{**asdict(one), "sentence": one.sentence()} for one in found[:MOST_FAULTS]]
    return _line({"state": FAULT, "key": key, "faults": faults, "more": max(0, len(found) - MOST_FAULTS)})


def key_of_text(text: str) -> str:
    """SHA-256 [hex] of a line; never that of a file with the same text, whose result may rest on files beside it."""
    return hashlib.sha256(b"line " + text.strip().encode("utf-8", "surrogatepass")).hexdigest()


def key_of_file(path: Path) -> str | None:
    """SHA-256 [hex] of a file's bytes; None where it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return None


@lru_cache(maxsize=2)
def reasoner_for(rules: tuple[str, ...], chainer: str) -> Reasoner:
    """The compiled rule base, built once in a process; InvalidInput where it is not sound."""
    import gc

    from engine.opinion.reasoner import Reasoner
    from engine.rulebook import load_rulebook

    reasoner = Reasoner(load_rulebook([Path(folder) for folder in rules]), chainer)
    gc.freeze()
    return reasoner


def _result(key: str | None, read: Callable[[], Case], name: str, folder: Path | None, reasoner: Reasoner) -> str:
    from engine.opinion.weighing import weigh_with

    try:
        case = read()
        opinion = weigh_with(reasoner, case, folder=folder, reasons=False)
        return _line({"state": WEIGHED, "key": key, **_weighed(case, opinion, folder)})
    except InvalidInput as fault:
        return fault_result(fault.problems, key)
    except OSError as fault:
        found = f"a file that cannot be read: {fault.strerror or fault}"
        return fault_result([Problem(name, None, "", found, "a file that can be read")], key)
    except Exception as fault:  # one case never stops the rest; what the program stumbled over is told
        found = f"a case over which the program stumbled ({type(fault).__name__}: {fault})"
        return fault_result([Problem(name, None, "", found[:300], "", "please report it with the case")], key)


def _weighed(case: Case, opinion: Opinion, folder: Path | None) -> dict[str, Any]:
    commission = case.commission
    reported = commission.reported_on if commission else None
    finished = commission.investigation_finished_on if commission else None
    beside = {logger.file for area in case.areas for logger in area.loggers} if folder else set()
    return {
        "case": {"id": case.id, "title": case.title, "digest": opinion.case.digest},
        "invented": case.invented,
        "dwelling": {"title": case.dwelling.title, "address": case.dwelling.address},
        "reported_on": reported.isoformat() if reported else None,
        "investigation_finished_on": finished.isoformat() if finished else None,
        "areas": [_area(area) for area in opinion.areas],
        "rulebook": opinion.rulebook.digest,
        "version": VERSION,
        "beside": {name: key_of_file(folder / name) for name in sorted(beside)} if folder else {},
    }


def _area(area: AreaOpinion) -> dict[str, Any]:
    causes = {cause.id: cause for cause in area.causes}
    titles = {mechanism.id: mechanism.title for mechanism in area.mechanisms}
    first = area.steps[0] if area.steps else None
    return {
        "id": area.id,
        "title": area.title,
        "determined": area.determined,
        "level": area.level,
        "leading": [_cause(causes[name]) for name in area.leading],
        "mechanisms": [titles[name] for name in area.leading_mechanisms],
        "unknown": area.unknown,
        "no_active_damp": area.no_active_damp.words if area.no_active_damp.reportable else None,
        "timber": area.timber.words,
        "cautions": [{"id": caution.id, "title": caution.title} for caution in area.cautions],
        "missing": [item.title for item in area.open_findings if item.bits >= WORTH_BITS][:MISSING],
        "not_inspected": [limit.what for limit in area.limits],
        "why_not_determined": list(area.why_not_determined),
        "next_step": {"id": first.id, "title": first.title, "who": first.who, "urgency": first.urgency}
        if first
        else None,
    }


def _cause(cause: CauseOpinion) -> dict[str, Any]:
    from engine.opinion.serialising import DIGITS

    probability = float(f"{cause.probability:.{DIGITS}g}")
    return {
        "id": cause.id,
        "title": cause.title,
        "probability": probability,
        "words": cause.words,
        "band": cause.band,
    }


def _line(result: dict[str, Any]) -> str:
    return encodable(json.dumps(result, ensure_ascii=False, allow_nan=False, separators=(",", ":")))
