"""What a map shows: which records of a rule base, and the links between them.

Evidence runs from left to right: rules that conclude findings, findings, causes. To the right of the causes stand
the rules that lean towards or away from them, and the steps that part or treat them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.errors import InvalidInput, Problem, nearest
from engine.rulebook.book import Rulebook
from engine.rulebook.compiling import active_rules
from engine.rulebook.strengths import Strength, strengths

WHOLE_LEAST, TOPIC_LEAST, CAUSE_LEAST = 10.0, 6.0, 3.0
"""Weights of evidence [dB] under which a finding's link to a cause is left out, by the width of the view."""
CONCLUDING, FINDINGS, CAUSES, BESIDE = range(4)
"""The columns of a map."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A record on a map; ``guest`` when it is of another topic and there because something leads to it.

    ``rank`` orders the spots of a column where one cause is in view: the strongest for it first.
    """

    id: str
    kind: str
    title: str
    column: int
    guest: bool = False
    rank: float = 0.0


@dataclass(frozen=True, slots=True)
class Link:
    """A line on a map. ``kind`` is for, against, concludes, excludes, parts or treats; ``decibans`` where it weighs."""

    source: str
    target: str
    kind: str
    decibans: float | None = None


@dataclass(frozen=True, slots=True)
class Map:
    """Spots and links in a repeatable order, what the map is of, and what it leaves out.

    ``one_cause`` when a single cause is in view, so that every finding has one link to it.
    """

    title: str
    account: str
    spots: tuple[Spot, ...]
    links: tuple[Link, ...]
    digest: str
    one_cause: bool = False


def chart(
    rulebook: Rulebook,
    *,
    topic: str | None = None,
    cause: str | None = None,
    steps: bool = False,
    least: float | None = None,
) -> Map:
    """The map of a whole base (causes and findings only), of a topic, of one cause, or of a cause within a topic.

    ``least`` [dB, 0 or more] leaves out weaker links of findings to causes; its default grows with the view.
    InvalidInput, with the nearest name, for a topic or cause that there is not.
    """
    _known(rulebook, "topic", topic)
    _known(rulebook, "cause", cause)
    view = _View(rulebook, topic, cause, least)
    links = [*view.evidence()]
    if topic is not None or cause is not None:
        links += view.concluding({link.source for link in links})
        links += view.leaning()
        shown = {link.target for link in links if link.kind == "concludes"} - {link.source for link in links}
        links += view.evidence_of(shown)
    if steps:
        links += view.steps()
    links = sorted(set(links), key=lambda link: (link.source, link.target, link.kind))
    spots = view.spots(links)
    account = view.account(any(spot.guest for spot in spots))
    return Map(_title(rulebook, topic, cause), account, spots, tuple(links), rulebook.digest, cause is not None)


class _View:
    """One choice of topic, cause and least weight, and the links that it lets through."""

    def __init__(self, rulebook: Rulebook, topic: str | None, cause: str | None, least: float | None) -> None:
        self._rulebook = rulebook
        self._topic = topic
        self._cause = cause
        default = CAUSE_LEAST if cause else TOPIC_LEAST if topic else WHOLE_LEAST
        self._least = default if least is None else least

    def account(self, guests: bool) -> str:
        """What the map leaves out, in words."""
        whole = self._topic is None and self._cause is None
        left_out = ", and findings without a stronger one with them" if whole else ""
        italics = " In italics: of another topic." if guests else ""
        return (
            f"Links of findings to causes weaker than {self._least:g} dB are left out{left_out}. "
            f"Strengths are trade judgement, each for one cause alone.{italics}"
        )

    def evidence(self) -> Iterator[Link]:
        """Findings that bear on causes, the strongest grade of each standing for all."""
        for one in self._strongest(strengths(self._rulebook, cause=self._cause)):
            if self._within(one.finding):
                yield self._evidence(one)

    def evidence_of(self, findings: set[str]) -> Iterator[Link]:
        """What further findings, drawn in by rules, say of the cause in view or of the causes of the topic."""
        for name in sorted(findings):
            for one in self._strongest(strengths(self._rulebook, finding=name, cause=self._cause)):
                if self._cause is not None or self._within(one.cause):
                    yield self._evidence(one)

    def concluding(self, findings: set[str]) -> Iterator[Link]:
        """Rules of the topic with what they conclude; for a cause, the rules that conclude its findings."""
        for rule in active_rules(self._rulebook):
            for conclusion in rule.conclude:
                name = conclusion.finding
                if name is not None and self._within(rule.id) and (self._cause is None or name in findings):
                    yield Link(rule.id, name, "concludes")

    def leaning(self) -> Iterator[Link]:
        """Rules that lean towards or away from the cause, or any cause, or exclude it."""
        for rule in active_rules(self._rulebook):
            for conclusion in rule.conclude:
                name = conclusion.leaning or conclusion.exclude
                if name is None or not self._within(rule.id) or self._cause not in (None, name):
                    continue
                if conclusion.exclude is not None:
                    yield Link(rule.id, name, "excludes")
                else:
                    weight = self._rulebook.word("leaning", conclusion.strength or "")
                    yield Link(rule.id, name, "for" if weight >= 0 else "against", weight)

    def steps(self) -> Iterator[Link]:
        """Steps that part the cause from others, or treat it."""
        for step in self._rulebook.steps.values():
            if not self._within(step.id):
                continue
            for kind, names in (("parts", step.parts), ("treats", step.treats)):
                for name in names:
                    if self._cause in (None, name):
                        yield Link(step.id, name, kind)

    def spots(self, links: list[Link]) -> tuple[Spot, ...]:
        """The records at the ends of the links, and those of the topic or the cause itself that have none."""
        names = {end for link in links for end in (link.source, link.target)}
        if self._cause is not None:
            names.add(self._cause)
        else:
            names |= {name for name in self._rulebook.causes if self._within(name)}
        if self._topic is not None and self._cause is None:
            names |= {name for name in self._rulebook.findings if self._within(name)}
        concluding = {link.source for link in links if link.kind == "concludes"}
        ranks = {link.source: -link.decibans for link in links if link.decibans is not None} if self._cause else {}
        return tuple(self._spot(name, name in concluding, ranks.get(name, 0.0)) for name in sorted(names))

    def _spot(self, name: str, concluding: bool, rank: float) -> Spot:
        kind = self._rulebook.kind_of(name) or ""
        column = {"findings": FINDINGS, "causes": CAUSES}.get(kind, CONCLUDING if concluding else BESIDE)
        return Spot(name, kind, self._rulebook.title(name), column, not self._within(name), rank)

    def _within(self, name: str) -> bool:
        return self._topic in (None, getattr(self._rulebook.records[name], "topic", None))

    def _strongest(self, found: tuple[Strength, ...]) -> list[Strength]:
        best: dict[tuple[str, str], Strength] = {}
        for one in found:
            known = best.get((one.finding, one.cause))
            if known is None or abs(one.seen) > abs(known.seen):
                best[one.finding, one.cause] = one
        return [one for one in best.values() if abs(one.seen) >= self._least]

    def _evidence(self, one: Strength) -> Link:
        return Link(one.finding, one.cause, "for" if one.seen >= 0 else "against", one.seen)


def heading_of(column: int, spots: Sequence[Spot]) -> str:
    """The heading of a column, by what stands in it."""
    if column != BESIDE:
        return {CONCLUDING: "rules that conclude findings", FINDINGS: "findings", CAUSES: "causes"}[column]
    kinds = {spot.kind for spot in spots if spot.column == BESIDE}
    names = {"rules": "rules that lean or exclude", "steps": "steps"}
    return "; ".join(names[kind] for kind in sorted(kinds))


def _title(rulebook: Rulebook, topic: str | None, cause: str | None) -> str:
    parts = []
    if cause is not None:
        parts.append(rulebook.title(cause))
    if topic is not None:
        parts.append(rulebook.title(topic))
    title = " within ".join(parts) if parts else "causes and findings of the whole rule base"
    return title[:1].upper() + title[1:]


def _known(rulebook: Rulebook, what: str, name: str | None) -> None:
    names = rulebook.kinds[f"{what}s"]
    if name is not None and name not in names:
        close = nearest(name, names)
        raise InvalidInput([Problem("the rule base", None, what, repr(name), ", ".join(names), "", close)])
