"""Explanations as sections of sentences, for a terminal page or a report: the verdict, why, and what does not fit."""

from __future__ import annotations

from dataclasses import dataclass

from engine.explaining.verdict import Misfits, Verdict
from engine.explaining.why import Contribution, Excluded, FactNode, Lean, RuleNode, Why
from engine.explaining.wording import (
    LEAST_SAID,
    believed,
    finding_words,
    met_words,
    sentence,
    weight,
)
from engine.opinion.words import about, list_words
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry, named


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and the sentences under it, some with more under them."""

    heading: str
    entries: tuple[Entry, ...]


def names(rulebook: Rulebook, ids: tuple[str, ...], otherwise: str = "none of the causes") -> str:
    """Records in a row, each with its id."""
    return list_words(named(rulebook, name) for name in ids) if ids else otherwise


def verdict_section(book: Rulebook, found: Verdict) -> Section:
    """What is determined, or why nothing is, with every gate."""
    entries = [Entry(_verdict_words(book, found))]
    entries += [
        Entry(f"The findings together weigh {weight(decibans)} for {named(book, cause)}. {_asked(book, decibans)}")
        for cause, decibans in found.evidence
        if cause in found.leading
    ]
    if not found.determined:
        entries.append(Entry("It is not determined because:", tuple(Entry(sentence(w)) for w in found.why_not)))
        if found.open:
            entries.append(Entry(f"Still open: {names(book, found.open)}."))
    if found.carried_by:
        entries.append(Entry(f"What leads would no longer be likely without: {list_words(found.carried_by)}."))
    for gate in found.gates:
        state = "is passed" if gate.passed else "is not passed"
        checks = tuple(
            Entry(
                f"Against {named(book, check.rival)}: {check.title}: {'made' if check.made else 'not made'}.",
                tuple(Entry(sentence(text)) for text in check.because)
                + (() if check.made else (Entry(f"It is made by: {named(book, check.step)}."),)),
            )
            for check in gate.checks
        )
        entries.append(Entry(f"The gate of {named(book, gate.cause)} {state}.", checks))
    return Section("The verdict", tuple(entries))


def _verdict_words(book: Rulebook, found: Verdict) -> str:
    if found.determined and found.level == "cause":
        return f"Determined: {names(book, found.leading)}."
    if found.determined:
        mechanisms = list_words(name.replace("-", " ") for name in found.leading_mechanisms)
        return f"Determined as to the mechanism, {mechanisms}; by which route is not determined."
    if not found.leading:
        return "Not determined. The most probable explanation is that none of the causes is at work."
    return f"Not determined. What leads is {names(book, found.leading)}."


def _asked(book: Rulebook, decibans: float) -> str:
    least = book.parameter("determined-evidence-decibans")
    enough = "which they reach" if decibans >= least else "which they do not reach"
    return f"At least {least:g} dB are asked of a conclusion, {enough}."


def why_section(book: Rulebook, found: Why) -> Section:
    """Why a cause is believed as it is, from each observation through rules to weight."""
    entries = [
        Entry(
            f"It is {believed(book, found.probability)}. To begin with it is met in {about(found.base_rate)} of"
            f" places of this class ({found.reference_class})."
        )
    ]
    if found.exclusions:
        entries.append(Entry("What rules it out:", tuple(excluded_entry(book, item) for item in found.exclusions)))
    if found.leanings:
        under = tuple(lean_entry(book, item) for item in found.leanings)
        entries.append(Entry(f"Building and place, which take it to {about(found.prior)}:", under))
    told: set[str] = set()
    for title, sign in (("Findings that speak for it:", 1), ("Findings that speak against it:", -1)):
        said = [item for item in found.contributions if sign * item.decibans >= LEAST_SAID]
        if said:
            entries.append(Entry(title, tuple(contribution_entry(book, item, found.cause, told) for item in said)))
    if found.contributions:
        entries.append(
            Entry(
                f"The findings together weigh {weight(found.evidence_decibans)}. Each single weight is what the belief"
                " would lose without that finding; where findings overlap they do not add up."
            )
        )
    else:
        entries.append(Entry("No finding speaks for or against it: the belief is what building and place make it."))
    return Section(f"Why: {found.title}", tuple(entries))


def contribution_entry(book: Rulebook, item: Contribution, cause: str, told: set[str] | None = None) -> Entry:
    """A finding with its weight, and under it the rules and observations on which it rests.

    ``told`` collects the records told in full; a rule or measure that is in it is not told in full again.
    """
    told = set() if told is None else told
    doubt = "" if item.sureness == "certain" else f" ({item.sureness.replace('-', ' ')})"
    met = met_words(book, item.finding, cause)
    text = f"{sentence(finding_words(book, item.finding, item.state) + doubt + ': ' + weight(item.decibans))}"
    return Entry(f"{text} {met}." if met else text, tuple(rule_entry(book, rule, told) for rule in item.rules))


def lean_entry(book: Rulebook, item: Lean) -> Entry:
    """A leaning with its weight, its rule's reason, and what it rests on."""
    return Entry(f"{weight(item.decibans)}: {_reason(item.rule)}", _grounds(book, item.rule, set()))


def excluded_entry(book: Rulebook, item: Excluded) -> Entry:
    """An exclusion with its reason and what would overturn it."""
    how = "Ruled out" if item.exclusion.hard else "All but ruled out"
    overturned = Entry(sentence(f"it would be overturned by: {item.exclusion.overturned_by}"))
    return Entry(f"{how}: {_reason(item.rule)}", (*_grounds(book, item.rule, set()), overturned))


def rule_entry(book: Rulebook, rule: RuleNode, told: set[str]) -> Entry:
    """A rule that fired, its facts and sources under it; one that only observes reads as its observation."""
    if rule.observed:
        return Entry(sentence(f"observed: {list_words(node.said for node in rule.facts)}"))
    if rule.record in told:
        return Entry(f"By rule: {rule.title} [{rule.record}], as told above.")
    told.add(rule.record)
    doubt = "" if rule.sureness == "certain" else f" The rule's facts are {rule.sureness.replace('-', ' ')}."
    return Entry(f"By rule: {_reason(rule)}{doubt}", _grounds(book, rule, told))


def _reason(rule: RuleNode) -> str:
    return f"{rule.title} [{rule.record}]. {rule.because}".strip()


def _grounds(book: Rulebook, rule: RuleNode, told: set[str]) -> tuple[Entry, ...]:
    sources = (Entry(f"Source: {'; '.join(rule.sources)}."),) if rule.sources else ()
    return (*(_fact_entry(book, node, told) for node in rule.facts), *sources)


def _fact_entry(book: Rulebook, node: FactNode, told: set[str]) -> Entry:
    text = sentence(node.said)
    reckoned = (Entry(f"Reckoned so: {node.reckoned}"),) if node.reckoned and node.attribute not in told else ()
    told.add(node.attribute)
    return Entry(text, (*reckoned, *(rule_entry(book, rule, told) for rule in node.rules)))


def misfits_section(book: Rulebook, found: Misfits) -> Section:
    """What does not fit, or that everything does."""
    best = names(book, found.best, "none of the causes at work")
    entries = [
        Entry(
            f"{sentence(finding_words(book, item.finding, item.state))} If only {best} were at work, the chance of"
            f" that would be {about(item.probability)}."
        )
        for item in found.unexplained
    ]
    entries += [
        Entry(
            f"{sentence(finding_words(book, item.item.finding, item.item.state))} It speaks against"
            f" {named(book, item.cause)}: {weight(item.item.decibans)}."
        )
        for item in found.against
        if item.item.finding not in {other.finding for other in found.unexplained}
    ]
    entries += [
        Entry(
            f"{sentence(named(book, item.finding))} Concluded both ways, it is left out and needs checking.",
            tuple(Entry(f"{sentence(claim.state)}", (rule_entry(book, claim.rule, set()),)) for claim in item.claims),
        )
        for item in found.contested
    ]
    entries += [
        Entry(f"Something that the rule base does not know may be at work: {reason}.")
        for reason in found.unknown_because
    ]
    if not entries:
        entries = [
            Entry(f"Nothing certain is improbable with {best}, and no finding speaks strongly against the lead.")
        ]
    return Section("What does not fit", tuple(entries))
