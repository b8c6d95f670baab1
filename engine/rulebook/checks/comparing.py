"""Rules against each other: identical, contradicting, needless, impossible, circular and out of reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from engine.errors import Problem
from engine.inference.chaining import Chain, CycleError
from engine.inference.rules import ChainConclusion
from engine.rulebook.checks.inspection import STRATA, Inspection, Source, listed
from engine.rulebook.checks.regions import Box, Region, Space, TooManyBoxes

_TOGETHER = (("admission",), ("readings", "patterns"), ("advice",))
"""The strata whose rules run as one chain."""
_ADDING = ("leaning", "exclude")
"""Conclusions that count once for each rule, so that a narrower rule beside a wider one says more."""


@dataclass(frozen=True, slots=True)
class _Compared:
    """A rule with the region in which it holds."""

    source: Source
    region: Region


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Rules that can never hold, that say the same or the opposite on the same facts, that wait for each other."""
    yield from _chain_faults(inspection)
    space = Space([source.rule.when for source in inspection.sources], inspection.terms)
    compared, impossible = _regions(inspection, space)
    for source in impossible:
        found = "a condition that no facts can meet"
        advice = "one part of it asks for what another part excludes"
        yield _at(inspection, source, found, "a condition that can hold", advice)
    for one, other, conclusion, others in _pairs(compared):
        yield from _pair_faults(inspection, space, (one, other), (conclusion, others))
    yield from _out_of_reach(inspection, space, compared)


def remarks(inspection: Inspection) -> Iterator[Problem]:
    """Rules that say nothing beyond what a wider rule says, and conditions too involved to compare."""
    space = Space([source.rule.when for source in inspection.sources], inspection.terms)
    for source in inspection.sources:
        try:
            space.holds(source.rule.when)
        except TooManyBoxes:
            found = "a condition with so many alternatives that it was not compared with others"
            yield _at(inspection, source, found, "", "split the rule")
    compared, _ = _regions(inspection, space)
    for one, other, conclusion, wider in _pairs(compared):
        for inner, outer, own, its in ((one, other, conclusion, wider), (other, one, wider, conclusion)):
            if own.kind in _ADDING or not _same(own, its) or own.sureness > its.sureness:
                continue
            if _inside(space, inner.region, outer.region) and not _inside(space, outer.region, inner.region):
                found = f"a rule whose conclusion {_named(inspection, outer)} draws on the same facts and on others"
                advice = "delete the narrower rule, unless its reason is worth keeping apart"
                yield _at(inspection, inner.source, found, "", advice)


def _regions(inspection: Inspection, space: Space) -> tuple[list[_Compared], list[Source]]:
    compared, impossible = [], []
    for source in inspection.sources:
        if inspection.at_fault(source.record, *source.path) or inspection.at_fault(source.record, "conclude"):
            continue
        try:
            region = space.holds(source.rule.when)
        except TooManyBoxes:
            continue
        if region:
            compared.append(_Compared(source, region))
        else:
            impossible.append(source)
    return compared, impossible


def _pairs(compared: list[_Compared]) -> Iterator[tuple[_Compared, _Compared, ChainConclusion, ChainConclusion]]:
    """Every two rules that run together and conclude something about the same thing."""
    about: dict[tuple[str, str], list[tuple[_Compared, ChainConclusion]]] = {}
    for rule in compared:
        for conclusion in rule.source.rule.conclusions:
            about.setdefault((conclusion.kind, conclusion.target), []).append((rule, conclusion))
    for several in about.values():
        for (one, conclusion), (other, others) in combinations(several, 2):
            if one is not other:
                yield one, other, conclusion, others


def _pair_faults(
    inspection: Inspection,
    space: Space,
    rules: tuple[_Compared, _Compared],
    conclusions: tuple[ChainConclusion, ChainConclusion],
) -> Iterator[Problem]:
    one, other = rules
    said, says = conclusions
    inside = _inside(space, one.region, other.region)
    around = _inside(space, other.region, one.region)
    if inside and around and _same(said, says):
        if other.source.made:
            one, other = other, one
        found = f"the condition and conclusion of {_named(inspection, one)}"
        yield _at(inspection, other.source, found, "rules that differ", "delete one of the two")
    elif said.kind == "finding" and (inside or around) and not _same(said, says):
        yield from _contradiction(inspection, (one, other) if inside else (other, one), conclusions, inside)
    elif said.kind == "leaning" and inside and around:
        found = f"the condition of {_named(inspection, one)}, which leans on {said.target} as well"
        yield _at(inspection, other.source, found, "one leaning of a cause for one condition", "merge the two rules")


def _contradiction(
    inspection: Inspection,
    rules: tuple[_Compared, _Compared],
    conclusions: tuple[ChainConclusion, ChainConclusion],
    inside: bool,
) -> Iterator[Problem]:
    inner, outer = rules
    own, its = conclusions if inside else (conclusions[1], conclusions[0])
    if {own.value, its.value} == {"slight", "strong"} and own.sureness > its.sureness:
        return
    if (own.value, its.value) == ("slight", "strong") and own.sureness == its.sureness:
        return
    graded = {own.value, its.value} == {"slight", "strong"}
    effect = "so that this one never counts" if graded else "so that the finding is always contested"
    found = f"{own.target} {own.value}, where {_named(inspection, outer)} concludes {its.value}, {effect}"
    advice = "make the two conditions exclude each other"
    yield _at(inspection, inner.source, found, "one state on the same facts", advice)


def _same(one: ChainConclusion, other: ChainConclusion) -> bool:
    return one.value == other.value or one.kind == "exclude"


def _inside(space: Space, one: Region, other: Region) -> bool:
    try:
        return space.within(one, other)
    except TooManyBoxes:
        return False


def _out_of_reach(inspection: Inspection, space: Space, compared: list[_Compared]) -> Iterator[Problem]:
    """Rules that need a state of a finding that no rule in reach concludes."""
    if inspection.rulebook.broken:
        return  # what cannot be read might conclude it
    concluded: dict[str, set[str]] = {name: set() for name in inspection.rulebook.findings}
    known = {rule.source.rule.id for rule in compared}
    for unknown in (rule for rule in inspection.rules if rule.id not in known):
        for conclusion in unknown.conclude:
            concluded.setdefault(conclusion.finding or "", set()).add(conclusion.state or "")
    waiting = list(compared)
    while True:
        reached = [rule for rule in waiting if any(_met(space, box, concluded) for box in rule.region)]
        if not reached:
            break
        waiting = [rule for rule in waiting if rule not in reached]
        for rule in reached:
            for said in rule.source.rule.conclusions:
                if said.kind == "finding":
                    concluded.setdefault(said.target, set()).add(said.value)
    for rule in waiting:
        wanting = {name for box in rule.region for name in box if not _met(space, {name: box[name]}, concluded)}
        found = f"a rule out of reach: no rule concludes what it asks of {listed(sorted(wanting))}"
        advice = "add 'observed_by' to the finding or a rule that concludes it, or delete this rule"
        yield _at(inspection, rule.source, found, "findings that something concludes", advice)


def _met(space: Space, box: Box, concluded: dict[str, set[str]]) -> bool:
    for name, bits in box.items():
        if name in concluded:
            possible = 1
            for state in concluded[name]:
                possible |= space.cell(name, state)
            if not bits & possible:
                return False
    return True


def _chain_faults(inspection: Inspection) -> Iterator[Problem]:
    """Rules that wait for each other, and whatever else the chainer refuses."""
    for strata in _TOGETHER:
        sources = {source.rule.id: source for source in inspection.sources if STRATA[source.stratum] in strata}
        try:
            Chain([source.rule for source in sources.values()])
        except CycleError as cycle:
            found = f"a circle: {cycle}"
            advice = "let one of them test the facts themselves"
            yield _at(inspection, sources[cycle.rules[0]], found, "rules that do not wait for each other", advice)
        except ValueError as error:
            for line in str(error).splitlines():
                name = line.partition(": ")[0]
                source = sources.get(name) or next(iter(sources.values()))
                yield _at(inspection, source, line, "what the chainer can run", "")


def _at(inspection: Inspection, source: Source, found: str, allowed: str, advice: str) -> Problem:
    return inspection.problem(source.record, source.path, found, allowed, advice)


def _named(inspection: Inspection, rule: _Compared) -> str:
    where = inspection.at(rule.source.record)
    made = f", made by 'observed_by' of {rule.source.record}" if rule.source.made else ""
    return f"{rule.source.rule.id} ({where}{made})"
