"""Sound rule bases kept between runs, so that start-up need not read and check hundreds of records again.

A cache file is a line with the SHA-256 of the rest, and the validated records as JSON. Its name comes from
every byte that the base was read from and from the program itself, so a changed file or program misses it.
Whatever is wrong with a file or the folder is as if nothing were kept.

Rules are most of a base, and one run shows few of them: each is kept as a text of its own, made into a record
when it is asked for, and beside them what inference runs on, ready compiled.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from platformdirs import user_cache_path
from pydantic import BaseModel, ConfigDict, ValidationError

from engine.inference import conditions
from engine.inference.conditions import parse_condition, to_data
from engine.inference.facts import Sureness
from engine.inference.rules import ChainConclusion, ChainRule
from engine.rulebook.book import Rulebook
from engine.rulebook.kinds import KINDS
from engine.rulebook.legal import BankHolidays, Duty
from engine.rulebook.models import (
    Cause,
    Caution,
    Echo,
    Finding,
    Measure,
    Parameter,
    Question,
    ReferenceClass,
    Rule,
    Scale,
    Source,
    Step,
    Topic,
    WordList,
)
from engine.rulebook.records import RuleFile
from engine.rulebook.reviewing import Remark
from engine.version import VERSION

_KEPT = 8
"""How many bases are kept; the ones longest unused go first."""


_Made = TypeVar("_Made")


class _WhenAsked(Mapping[str, _Made]):
    """Things by name, each made from its text when it is first asked for."""

    def __init__(self, texts: Mapping[str, str], make: Callable[[str], _Made]) -> None:
        self._texts = texts
        self._make = make
        self._made: dict[str, _Made] = {}

    def __getitem__(self, name: str) -> _Made:
        if name not in self._made:
            self._made[name] = self._make(self._texts[name])
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        return name in self._texts

    def __iter__(self) -> Iterator[str]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)


class _Stored(BaseModel):
    """The fields of a Rulebook as they are kept: records as lists in their order, rules as texts, by id or stratum."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, from_attributes=False)

    digest: str
    digests: dict[str, str]
    scales: list[Scale]
    sources: list[Source]
    topics: list[Topic]
    parameters: list[Parameter]
    words: list[WordList]
    reference_classes: list[ReferenceClass]
    questions: list[Question]
    measures: list[Measure]
    causes: list[Cause]
    findings: list[Finding]
    echoes: list[Echo]
    rules: dict[str, str]
    chain_rules: dict[str, str]
    steps: list[Step]
    cautions: list[Caution]
    bank_holidays: list[BankHolidays]
    duties: list[Duty]
    reviews: list[Remark]
    origin: dict[str, str]
    overridden: dict[str, str]


_AS_THEY_ARE = ("digest", "digests", "origin", "overridden")


def cache_key(layers: Sequence[Sequence[RuleFile]], contents: Mapping[RuleFile, bytes]) -> str:
    """The name under which a base is kept: SHA-256 [hex] over the program and every file's layer, kind, name, bytes."""
    digest = hashlib.sha256(f"{VERSION}\n".encode())
    for source in (*sorted(Path(__file__).parent.rglob("*.py")), Path(conditions.__file__)):
        digest.update(source.read_bytes())
    for number, layer in enumerate(layers):
        for file in layer:
            content = contents[file]
            digest.update(f"\n{number}\t{file.kind}\t{file.name}\t{len(content)}\n".encode("utf-8", "surrogateescape"))
            digest.update(content)
    return digest.hexdigest()


def _folder() -> Path:
    return user_cache_path("dampwright", appauthor=False) / "rulebooks"


def recall(key: str) -> Rulebook | None:
    """The base kept under a key; None when there is none that can be trusted."""
    path = _folder() / f"{key}.json"
    try:
        seal, _, body = path.read_bytes().partition(b"\n")
        if hashlib.sha256(body).hexdigest().encode() != seal:
            return None
        stored = _Stored.model_validate_json(body)
    except (OSError, ValidationError, RuntimeError):
        return None
    with contextlib.suppress(OSError):
        os.utime(path)
    fields: dict[str, Any] = {name: getattr(stored, name) for name in _AS_THEY_ARE}
    for kind in KINDS:
        if kind != "rules":
            fields[kind] = {record.id: record for record in getattr(stored, kind)}
    rulebook = Rulebook(**fields, rules=_WhenAsked(stored.rules, Rule.model_validate_json))
    rulebook.__dict__["chain_rules"] = _WhenAsked(stored.chain_rules, _chain_rules)
    return rulebook


def keep(key: str, rulebook: Rulebook) -> None:
    """Keep a base under a key, all at once or not at all; a folder that cannot be written is passed over."""
    fields: dict[str, Any] = {name: getattr(rulebook, name) for name in _AS_THEY_ARE}
    fields |= {kind: list(records.values()) for kind, records in rulebook.kinds.items()}
    fields["rules"] = {name: rule.model_dump_json(exclude_defaults=True) for name, rule in rulebook.rules.items()}
    fields["chain_rules"] = {stratum: _text(rules) for stratum, rules in rulebook.chain_rules.items()}
    body = _Stored.model_construct(**fields).model_dump_json(exclude_defaults=True).encode()
    with contextlib.suppress(OSError, RuntimeError):
        folder = _folder()
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
        try:
            with open(handle, "wb") as file:
                file.write(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
            os.replace(name, folder / f"{key}.json")
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        _forget(folder.glob("*.json"))


def _text(rules: Iterable[ChainRule]) -> str:
    """Compiled rules as JSON; `_chain_rules` gives them back."""
    return json.dumps(
        [
            [
                rule.id,
                to_data(rule.when),
                [(c.kind, c.target, c.value, c.sureness) for c in rule.conclusions],
                rule.priority,
            ]
            for rule in rules
        ]
    )


def _chain_rules(text: str) -> tuple[ChainRule, ...]:
    return tuple(
        ChainRule(
            name,
            parse_condition(when),
            tuple(ChainConclusion(kind, target, value, Sureness(sure)) for kind, target, value, sure in conclusions),
            priority,
        )
        for name, when, conclusions, priority in json.loads(text)
    )


def _forget(files: Iterable[Path]) -> None:
    dated = []
    for file in files:
        with contextlib.suppress(OSError):
            dated.append((file.stat().st_mtime, file))
    for _, file in sorted(dated, reverse=True)[_KEPT:]:
        with contextlib.suppress(OSError):
            file.unlink()
