"""Explanations as sections of sentences: how sure, why not, why rather, what if, and what would change it."""

from __future__ import annotations

from collections.abc import Iterable

from engine.explaining.answers import Answer
from engine.explaining.changing import Flip, WhatWouldChange
from engine.explaining.contrast import Contrast, Parting, Told
from engine.explaining.how_sure import HowSure
from engine.explaining.sections import Section, contribution_entry, excluded_entry, lean_entry, names
from engine.explaining.steadiness import Steadiness, Swing
from engine.explaining.what_if import Standing, WhatIf
from engine.explaining.why_not import Expected, Reversal, WhyNot
from engine.explaining.wording import (
    believed,
    finding_words,
    sentence,
    share,
    value_words,
    weight,
)
from engine.opinion.words import about, list_words
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry, named

DROPS, UNKNOWN, MISSES = 5, 5, 5
"""How many single facts, unknown findings and near misses are told; the data holds them all."""


def how_sure_section(book: Rulebook, found: HowSure) -> Section:
    """The belief in words, how it stands shaking, and what happens with one thing taken away."""
    entries = [
        Entry(
            f"{sentence(named(book, sure.cause))[:-1]} is {believed(book, sure.probability)}; the word stands for"
            f" {sure.band}."
        )
        for sure in found.foremost
    ]
    entries += _steadiness(book, found.steadiness)
    telling = [drop for drop in found.drops if not drop.leads]
    if telling:
        entries.append(
            Entry(
                "Without any one of these, what leads would be different:",
                tuple(
                    Entry(
                        f"{sentence(drop.said)} Without it {names(book, drop.leading)}"
                        f" {'lead' if len(drop.leading) > 1 else 'leads'}: {_each(book, found, drop.probabilities)}."
                    )
                    for drop in telling[:DROPS]
                ),
            )
        )
    elif found.drops:
        first = found.drops[0]
        entries.append(
            Entry(
                "No single observation carries it: the same leads with any one taken away. The one that matters most:",
                (Entry(f"{sentence(first.said)} Without it: {_each(book, found, first.probabilities)}."),),
            )
        )
    if found.told:
        thing = "one thing that was" if found.told == 1 else f"{found.told} things that were"
        stays = "the same leads" if found.untold_leads else "what leads would be different"
        entries.append(
            Entry(f"Without the {thing} only told or inferred, {stays}: {_each(book, found, found.untold)}.")
        )
    return Section("How sure", tuple(entries))


def _each(book: Rulebook, found: HowSure, probabilities: Iterable[float]) -> str:
    return list_words(
        f"{book.title(sure.cause)} {believed(book, p)}" for sure, p in zip(found.foremost, probabilities, strict=True)
    )


def _steadiness(book: Rulebook, found: Steadiness) -> list[Entry]:
    beside = f"; in {share(found.joined)} another cause leads beside it" if found.joined else ""
    shaken = tuple(
        Entry(sentence(f"in nine of ten of them {named(book, item.cause)} {_between(item.low, item.high)}"))
        for item in found.ranges
    )
    entries = [
        Entry(
            f"The strengths are judgement, so all of them were shaken together {found.draws} times (seed {found.seed})."
            f" {_keeps(found)} in {share(found.lead_stays)} of the re-weighings{beside}.",
            shaken,
        )
    ]
    if found.swings:
        overturning = [swing for swing in found.swings if swing.overturns]
        told = overturning or [swing for swing in found.swings[:3] if about(swing.low) != about(swing.high)]
        head = "No single judgement overturns what leads"
        if overturning:
            head = "Taken singly, these judgements could overturn what leads:"
        elif told:
            head += ". Those that move it most:"
        else:
            head += ", nor moves it by as much as can be said."
        entries.append(Entry(head, tuple(_swing(book, swing) for swing in told[:5])))
    if found.readings is not None:
        shaking = found.readings
        beside = f"; in {share(shaking.joined)} another cause leads beside it" if shaking.joined else ""
        entries.append(
            Entry(
                f"The {shaking.readings} readings were shaken by their own noise {shaking.draws} times. {_keeps(found)}"
                f" in {share(shaking.lead_stays)}{beside}."
            )
        )
    return entries


def _keeps(found: Steadiness) -> str:
    return "What leads keeps the lead" if found.lead else "That none of the causes leads holds"


def _swing(book: Rulebook, swing: Swing) -> Entry:
    what = {
        "base-rate": f"how common {named(book, swing.record)} is",
        "leaning": f"how far {named(book, swing.record)} leans",
        "background": f"how often {named(book, swing.record)} is met without any listed cause",
        "strength": f"how often {named(book, swing.about) if swing.about else ''} makes {named(book, swing.record)}",
    }[swing.kind]
    return Entry(sentence(f"{what}: {book.title(swing.cause)} {_between(swing.low, swing.high)}"))


def _between(low: float, high: float) -> str:
    ends = (about(low), about(high))
    return f"stays {ends[0]}" if ends[0] == ends[1] else f"goes from {ends[0]} to {ends[1]}"


def why_not_section(book: Rulebook, found: WhyNot) -> Section:
    """Why a cause is not believed more."""
    lead = "It does lead. What keeps it from being believed more follows." if found.leads else "It does not lead."
    entries = [Entry(f"{sentence(named(book, found.cause))[:-1]} is {believed(book, found.probability)}. {lead}")]
    groups: list[tuple[str, tuple[Entry, ...]]] = [
        ("It is excluded:", tuple(excluded_entry(book, item) for item in found.exclusions)),
        (
            "These findings speak against it:",
            tuple(contribution_entry(book, item, found.cause) for item in found.against),
        ),
        ("Building and place lean away from it:", tuple(lean_entry(book, item) for item in found.leanings)),
        (
            "It would be expected to show these, which are not known:",
            tuple(_expected(book, item) for item in found.unknown[:UNKNOWN]),
        ),
        (
            "These rules in its favour were one thing short:",
            tuple(
                Entry(
                    f"{sentence(named(book, item.record))} {item.because}",
                    (Entry(sentence(f"lacking: {item.lacked}")),),
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
    return Entry(f"{sentence(named(book, item.finding))} With this cause alone it is met {item.often}.{asked}")


def _reversal(book: Rulebook, item: Reversal) -> Entry:
    moved = f"from {about(item.before)} to {about(item.after)}"
    if about(item.before) == about(item.after):
        moved = f"but it stays {about(item.after)}"
    if item.answer is not None:
        return Entry(sentence(f"if {_answer(book, item.answer)}: {moved}"))
    return Entry(sentence(f"if this were the finding: {finding_words(book, item.finding, item.state)}: {moved}"))


def _answer(book: Rulebook, answer: Answer) -> str:
    """An answer as it might be: `tide line seen [tide-line-seen] were answered “yes” instead of “no”`."""
    said = value_words(book, answer.attribute, answer.value)
    was = "" if answer.was is None else f" instead of “{value_words(book, answer.attribute, answer.was)}”"
    return f"{named(book, answer.attribute)} were answered “{said}”{was}"


def contrast_section(book: Rulebook, found: Contrast) -> Section:
    """Why the first of two causes rather than the second."""
    first, second = named(book, found.first), named(book, found.second)
    one, other = found.probabilities
    entries = [
        Entry(f"{sentence(first)[:-1]} is {believed(book, one)}, {second} {believed(book, other)}."),
        Entry(
            f"To begin with the first is met in {about(found.base_rates[0])} of places of this class, the second in"
            f" {about(found.base_rates[1])}."
        ),
    ]
    sides = list(zip((first, second), (found.first, found.second), found.excluded, found.leanings, strict=True))
    for name, _, excluded, leanings in sides:
        if excluded:
            entries.append(Entry(f"{name} is excluded:", tuple(excluded_entry(book, item) for item in excluded)))
        if leanings:
            total = weight(sum(lean.decibans for lean in leanings))
            under = tuple(lean_entry(book, item) for item in leanings)
            entries.append(Entry(f"For {name}, building and place weigh {total}:", under))
    for sign, name in ((1, first), (-1, second)):
        told = [item for item in found.told_apart if sign * item.difference > 0]
        if told:
            entries.append(Entry(f"These findings favour {name}:", tuple(_told(book, item) for item in told)))
    if found.parting:
        entries.append(Entry("What would part them:", tuple(_parting(book, item) for item in found.parting)))
    return Section(f"Why {book.title(found.first)} rather than {book.title(found.second)}", tuple(entries))


def _told(book: Rulebook, told: Told) -> Entry:
    said = sentence(finding_words(book, told.item.finding, told.item.state))
    both = f"It weighs {weight(told.first)} for the first and {weight(told.second)} for the second."
    return Entry(f"{said} {both}")


def _parting(book: Rulebook, item: Parting) -> Entry:
    asked = f" Ask: {names(book, item.questions)}." if item.questions else ""
    steps = f" The test: {names(book, item.steps)}." if item.steps else ""
    return Entry(
        f"{sentence(named(book, item.finding))} It is met {item.with_first} with the first, {item.with_second} with the"
        f" second.{asked}{steps}"
    )


def what_if_section(book: Rulebook, found: WhatIf) -> Section:
    """The opinion with changed answers beside the opinion as it is."""
    entries = [
        Entry(sentence(f"{named(book, item.attribute)}: {item.after} instead of {item.before}"))
        for item in found.changes
    ]
    entries.append(Entry(f"As it is: {_standing(book, found.before)} Then: {_standing(book, found.after)}"))
    if not found.after.determined:
        new = tuple(Entry(sentence(text)) for text in found.after.why_not if text not in found.before.why_not)
        if new:
            entries.append(Entry("What would then stand in the way:", new))
    rows = tuple(
        Entry(sentence(f"{named(book, row.cause)}: {believed(book, row.before)}, then {believed(book, row.after)}"))
        for row in found.causes
    )
    entries.append(Entry("The causes, as they are and as they would be:", rows))
    moved = tuple(
        Entry(sentence(f"{named(book, item.finding)}: {item.before or 'not known'}, then {item.after or 'not known'}"))
        for item in found.findings
    )
    entries.append(Entry("The findings that differ:", moved) if moved else Entry("No finding differs."))
    return Section("What if", tuple(entries))


def _standing(book: Rulebook, found: Standing) -> str:
    if not found.leading:
        lead = "the most probable explanation is that none of the causes is at work"
    else:
        lead = f"{names(book, found.leading)} {'lead' if len(found.leading) > 1 else 'leads'}"
    level = {"cause": "determined", "mechanism": "determined as to the mechanism"}.get(found.level, "not determined")
    return f"{lead}; {level}."


def change_section(book: Rulebook, found: WhatWouldChange) -> Section:
    """What would change the answer, the cheapest first."""
    entries = [Entry(f"As it is: {_standing(book, found.before)}")]
    groups = (
        ("Open questions whose answer would change that, cheapest first:", False),
        ("Answers that would change that if they proved otherwise, cheapest to check first:", True),
    )
    for title, reopens in groups:
        flips = tuple(_flip(book, flip) for flip in found.flips if flip.reopens == reopens)
        if flips:
            entries.append(Entry(title, flips))
    if not found.flips:
        entries.append(Entry("No one, two or three answers that were tried would change that."))
    return Section("What would change it", tuple(entries))


def _flip(book: Rulebook, flip: Flip) -> Entry:
    answers = list_words(_answer(book, answer) for answer in flip.answers)
    beliefs = list_words(f"{book.title(cause)} {about(p)}" for cause, p in flip.probabilities)
    effort = f"about {flip.minutes:.0f} minute{'' if flip.minutes == 1 else 's'}"
    stands = () if flip.after.determined else tuple(Entry(sentence(f"because {why}")) for why in flip.new_obstacles[:2])
    return Entry(f"If {answers} ({effort}): {_standing(book, flip.after)}", (Entry(sentence(beliefs)), *stands))
