"""Explanations as sections of sentences: why not a cause, and why one cause rather than another."""

from __future__ import annotations

from engine.explaining.contrast import Contrast, Parting, Told
from engine.explaining.sections import Section, contribution_entry, excluded_entry, lean_entry, names
from engine.explaining.why_not import Expected, Reversal, WhyNot
from engine.explaining.wording import answer_words, believed, clause, finding_words, sentence, weight
from engine.opinion.words import about
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry, named

UNKNOWN, MISSES = 5, 5
"""How many unknown findings and near misses are told; the data holds them all."""


def why_not_section(book: Rulebook, found: WhyNot) -> Section:
    """Why a cause is not believed more."""
    lead = "and it leads; this keeps it from being believed more" if found.leads else "and does not lead"
    entries = [Entry(f"{clause(named(book, found.cause))} is {believed(book, found.probability)}, {lead}.")]
    told: set[str] = set()
    groups: list[tuple[str, tuple[Entry, ...]]] = [
        ("What rules it out:", tuple(excluded_entry(book, item, told) for item in found.exclusions)),
        (
            "These findings speak against it:",
            tuple(contribution_entry(book, item, found.cause, told) for item in found.against),
        ),
        ("Building and place lean away from it:", tuple(lean_entry(book, item, told) for item in found.leanings)),
        (
            "It often shows these signs, and whether they are there is not known:",
            tuple(_expected(book, item) for item in found.unknown[:UNKNOWN]),
        ),
        (
            "These rules in its favour were one thing short:",
            tuple(
                Entry(
                    f"{sentence(named(book, item.record))} {item.because}",
                    (Entry(sentence(item.lacked)),),
                )
                for item in found.misses[:MISSES]
            ),
        ),
        (
            "Before it could be firm these checks would have to be made:",
            tuple(Entry(f"Against {named(book, c.rival)}: {c.title}.") for c in found.unmade),
        ),
        ("What would raise it, each tried out:", tuple(_reversal(book, item) for item in found.reversals)),
    ]
    entries += [Entry(title, under) for title, under in groups if under]
    return Section(f"Why not: {found.title}", tuple(entries))


def _expected(book: Rulebook, item: Expected) -> Entry:
    asked = f" To settle it, ask: {names(book, item.questions)}." if item.questions else ""
    return Entry(f"{sentence(named(book, item.finding))} It is met {item.often} with this cause alone.{asked}")


def _reversal(book: Rulebook, item: Reversal) -> Entry:
    low, high = about(item.before), about(item.after)
    moved = f"it would go from {low} to {high}" if low != high else f"it would rise, and stay {high}"
    if item.answer is not None:
        return Entry(
            sentence(f"{answer_words(book, item.answer.attribute, [item.answer.value], item.answer.was)}: {moved}")
        )
    found, grade = "were this found", f", {item.state}"
    if item.state in ("absent", "none"):
        found = "were this looked for and not found"
    if item.state in ("absent", "none", "present"):
        grade = ""
    return Entry(sentence(f"{found}, {moved}: {named(book, item.finding)}{grade}"))


def contrast_section(book: Rulebook, found: Contrast) -> Section:
    """Why the first of two causes rather than the second."""
    first, second = named(book, found.first), named(book, found.second)
    one, other = found.probabilities
    entries = [
        Entry(f"{clause(first)} is {believed(book, one)}; {second} is {believed(book, other)}."),
        Entry(
            f"Before anything is said of this place, the first is met in {about(found.base_rates[0])} of its class and"
            f" the second in {about(found.base_rates[1])}."
        ),
    ]
    told: set[str] = set()
    for name, excluded, leanings in zip((first, second), found.excluded, found.leanings, strict=True):
        if excluded:
            entries.append(Entry(f"What rules out {name}:", tuple(excluded_entry(book, e, told) for e in excluded)))
        if leanings:
            total = weight(sum(lean.decibans for lean in leanings))
            under = tuple(lean_entry(book, item, told) for item in leanings)
            entries.append(Entry(f"For {name}, building and place weigh {total}:", under))
    for sign, name in ((1, first), (-1, second)):
        favouring = tuple(
            _told(book, item)
            for item in found.told_apart
            if sign * item.difference > 0 and weight(item.first) != weight(item.second)
        )
        if favouring:
            entries.append(Entry(f"These findings favour {name}:", favouring))
    if found.parting:
        entries.append(Entry("What would part them:", tuple(_parting(book, item) for item in found.parting)))
    return Section(f"Why {book.title(found.first)} rather than {book.title(found.second)}", tuple(entries))


def _told(book: Rulebook, told: Told) -> Entry:
    said = sentence(finding_words(book, told.item.finding, told.item.state))
    return Entry(f"{said} It weighs {weight(told.first)} for the first, {weight(told.second)} for the second.")


def _parting(book: Rulebook, item: Parting) -> Entry:
    asked = f" Ask: {names(book, item.questions)}." if item.questions else ""
    steps = f" The test{'s' if len(item.steps) > 1 else ''}: {names(book, item.steps)}." if item.steps else ""
    return Entry(
        f"{sentence(named(book, item.finding))} It is met {item.with_first} with the first alone, {item.with_second}"
        f" with the second alone.{asked}{steps}"
    )
