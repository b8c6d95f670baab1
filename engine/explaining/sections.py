"""Explanations as sections of sentences, for a terminal page or a report: the verdict, why, and what does not fit."""

from __future__ import annotations

from dataclasses import dataclass

from engine.explaining.verdict import Misfits, Verdict
from engine.explaining.why import Contribution, Excluded, FactNode, Lean, RuleNode, Why
from engine.explaining.wording import (
    LEAST_SAID,
    believed,
    clause,
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


def verdict_section(book: Rulebook, found: Verdict, *, gates: bool = True) -> Section:
    """What is determined, or why nothing is; with every gate, unless these are shown elsewhere."""
    entries = [Entry(_verdict_words(book, found))]
    entries += [Entry(_weighed(book, cause, weighs)) for cause, weighs in found.evidence if cause in found.leading]
    if not found.determined:
        entries.append(Entry("It is not determined because:", tuple(Entry(sentence(w)) for w in found.why_not)))
        if found.open:
            entries.append(Entry(f"Still open: {names(book, found.open)}."))
    if found.carried_by:
        entries.append(Entry(f"What leads would no longer be likely without: {list_words(found.carried_by)}."))
    for gate in found.gates if gates else ():
        made = sum(check.made for check in gate.checks)
        checks = tuple(
            Entry(
                f"{'Made' if check.made else 'Not made'}, against {named(book, check.rival)}: {check.title}.",
                tuple(Entry(sentence(text)) for text in check.because)
                + (() if check.made else (Entry(f"The step that makes it: {named(book, check.step)}."),)),
            )
            for check in gate.checks
        )
        entries.append(Entry(f"The gate of {named(book, gate.cause)}: {_passed(made, len(checks))}.", checks))
    return Section("The verdict", tuple(entries))


def _passed(made: int, asked: int) -> str:
    if made == asked:
        return "passed, every check is made"
    return f"not passed, {made or 'none'} of its {asked} checks {'is' if made < 2 else 'are'} made"


def _verdict_words(book: Rulebook, found: Verdict) -> str:
    if found.determined and found.level == "cause":
        return f"Determined: {names(book, found.leading)}."
    if found.determined:
        mechanisms = list_words(name.replace("-", " ") for name in found.leading_mechanisms)
        return f"The mechanism is determined: {mechanisms}. Which cause of that mechanism is at work is not."
    if not found.leading:
        return "Not determined. The most probable explanation is that none of the causes is at work."
    return f"Not determined. {clause(names(book, found.leading))} {'lead' if len(found.leading) > 1 else 'leads'}."


def _weighed(book: Rulebook, cause: str, decibans: float) -> str:
    least = book.parameter("determined-evidence-decibans")
    enough = "so they are enough" if decibans >= least else "so they are not enough"
    weighs = f"The findings together weigh {weight(decibans)} for {named(book, cause)}"
    return f"{weighs}; a conclusion needs at least {least:g} dB, {enough}."


def why_section(book: Rulebook, found: Why) -> Section:
    """Why a cause is believed as it is, from each observation through rules to weight."""
    entries = [
        Entry(
            f"It is {believed(book, found.probability)}. Before anything is said of this place, it is met in"
            f" {about(found.base_rate)} of its class ({found.reference_class})."
        )
    ]
    told: set[str] = set()
    if found.exclusions:
        under = tuple(excluded_entry(book, item, told) for item in found.exclusions)
        entries.append(Entry("What rules it out:", under))
    if found.leanings:
        under = tuple(lean_entry(book, item, told) for item in found.leanings)
        entries.append(Entry(f"Building and place take it to {about(found.prior)}:", under))
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


def contribution_entry(book: Rulebook, item: Contribution, cause: str, told: set[str]) -> Entry:
    """A finding with its weight, and under it the rules and observations on which it rests.

    ``told`` collects the records told in full; a rule or measure that is in it is not told in full again.
    """
    doubt = "" if item.sureness == "certain" else f", {item.sureness.replace('-', ' ')}"
    said = finding_words(book, item.finding, item.state)
    text = sentence(f"{said} ({weight(item.decibans)}{doubt})")
    met = met_words(book, item.finding, cause)
    return Entry(f"{text} {met}".strip(), tuple(rule_entry(book, rule, told) for rule in item.rules))


def lean_entry(book: Rulebook, item: Lean, told: set[str]) -> Entry:
    """A leaning with its weight, its rule's reason, and what it rests on."""
    told.add(item.rule.record)
    return Entry(_reason(item.rule, weight(item.decibans)), _grounds(book, item.rule, told))


def excluded_entry(book: Rulebook, item: Excluded, told: set[str]) -> Entry:
    """An exclusion with its reason and what would overturn it."""
    told.add(item.rule.record)
    how = "ruled out" if item.exclusion.hard else "all but ruled out"
    overturned = Entry(sentence(f"what would overturn it: {item.exclusion.overturned_by}"))
    return Entry(_reason(item.rule, how), (*_grounds(book, item.rule, told), overturned))


def rule_entry(book: Rulebook, rule: RuleNode, told: set[str]) -> Entry:
    """A rule that fired, its facts and sources under it; one that only observes reads as its observation."""
    if rule.observed:
        return Entry(sentence(f"observed: {list_words(node.said for node in rule.facts)}"))
    if rule.record in told:
        return Entry(f"By the rule told above: {rule.title} [{rule.record}].")
    told.add(rule.record)
    doubt = "" if rule.sureness == "certain" else f"its facts are {rule.sureness.replace('-', ' ')}"
    return Entry(f"By rule: {_reason(rule, doubt)}", _grounds(book, rule, told))


def _reason(rule: RuleNode, beside: str) -> str:
    """A rule's title and id, what is to be said beside them in brackets, its reason, and where that comes from."""
    said = clause(f"{rule.title} [{rule.record}]{f' ({beside})' if beside else ''}")
    sources = f"Source: {'; '.join(rule.sources)}." if rule.sources else ""
    return " ".join(part for part in (f"{said}.", rule.because, sources) if part)


def _grounds(book: Rulebook, rule: RuleNode, told: set[str]) -> tuple[Entry, ...]:
    return tuple(_fact_entry(book, node, told) for node in rule.facts)


def _fact_entry(book: Rulebook, node: FactNode, told: set[str]) -> Entry:
    reckoned = (Entry(f"How it is reckoned: {node.reckoned}"),) if node.reckoned and node.attribute not in told else ()
    told.add(node.attribute)
    return Entry(sentence(node.said), (*reckoned, *(rule_entry(book, rule, told) for rule in node.rules)))


def misfits_section(book: Rulebook, found: Misfits) -> Section:
    """What does not fit, or that everything does."""
    best = names(book, found.best)
    alone = f"{best} alone" if found.best else f"{best} at work"
    entries = [
        Entry(
            f"{sentence(finding_words(book, item.finding, item.state))} With {alone} the chance of that would be"
            f" {about(item.probability)}."
        )
        for item in found.unexplained
    ]
    entries += [
        Entry(
            f"{sentence(finding_words(book, item.item.finding, item.item.state))} It speaks against"
            f" {named(book, item.cause)} ({weight(item.item.decibans)}).",
        )
        for item in found.against
        if item.item.finding not in {other.finding for other in found.unexplained}
    ]
    entries += [
        Entry(
            f"Concluded both ways, and left out until it is checked: {named(book, item.finding)}.",
            tuple(Entry(f"{sentence(claim.state)}", (rule_entry(book, claim.rule, set()),)) for claim in item.claims),
        )
        for item in found.contested
    ]
    entries += [
        Entry(f"Something that the rule base does not know may be at work: {reason}.")
        for reason in found.unknown_because
    ]
    if not entries:
        entries = [Entry(f"No certain finding is improbable with {best}, and none speaks strongly against what leads.")]
    return Section("What does not fit", tuple(entries))
