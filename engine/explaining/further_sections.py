"""Explanations as sections of sentences: how sure, why not, why rather, what if, and what would change it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

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
    clause,
    finding_words,
    sentence,
    share,
    value_words,
    weight,
)
from engine.inference.facts import Value
from engine.opinion.words import about, list_words
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry, named

DROPS, UNKNOWN, MISSES = 5, 5, 5
"""How many single facts, unknown findings and near misses are told; the data holds them all."""


def how_sure_section(book: Rulebook, found: HowSure) -> Section:
    """The belief in words, how it stands shaking, and what happens with one thing taken away."""
    entries = [
        Entry(
            f"{clause(named(book, sure.cause))} is {believed(book, sure.probability)}; the words stand for {sure.band}."
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
                        f"{sentence(drop.said)} Without it {_lead(book, drop.leading)}, and"
                        f" {_each(book, found, drop.probabilities)}."
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
                (Entry(f"{sentence(first.said)} Without it {_each(book, found, first.probabilities)}."),),
            )
        )
    if found.told:
        thing = "one thing that was" if found.told == 1 else f"{found.told} things that were"
        stays = "the same leads" if found.untold_leads else "something else leads"
        entries.append(
            Entry(f"Without the {thing} only told or inferred, {stays}, and {_each(book, found, found.untold)}.")
        )
    return Section("How sure", tuple(entries))


def _each(book: Rulebook, found: HowSure, probabilities: Iterable[float]) -> str:
    return list_words(
        f"{book.title(sure.cause)} is {believed(book, p)}"
        for sure, p in zip(found.foremost, probabilities, strict=True)
    )


def _lead(book: Rulebook, causes: tuple[str, ...]) -> str:
    """What leads, as a clause; with no cause, that none is at work."""
    if not causes:
        return "the most probable explanation is that none of the causes is at work"
    return f"{names(book, causes)} {'lead' if len(causes) > 1 else 'leads'}"


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
            head += ". These move it most:"
        else:
            head += ", nor moves it enough to be told."
        entries.append(Entry(head, tuple(_swing(book, swing) for swing in told[:5])))
    if found.readings is not None:
        shaking = found.readings
        beside = f"; in {share(shaking.joined)} another cause leads beside it" if shaking.joined else ""
        entries.append(
            Entry(
                f"{_readings(shaking.readings)} shaken by {'its' if shaking.readings == 1 else 'their'} own noise"
                f" {shaking.draws} times. {_keeps(found)} in {share(shaking.lead_stays)} of them{beside}."
            )
        )
    return entries


def _readings(count: int) -> str:
    return "The only reading was" if count == 1 else f"The {count} readings were"


def _keeps(found: Steadiness) -> str:
    return "What leads keeps its lead" if found.lead else "Still no cause leads"


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
        return Entry(sentence(f"{_answer(book, item.answer)}: {moved}"))
    found, grade = "were this found", f", {item.state}"
    if item.state in ("absent", "none"):
        found = "were this looked for and not found"
    if item.state in ("absent", "none", "present"):
        grade = ""
    return Entry(sentence(f"{found}, {moved}: {named(book, item.finding)}{grade}"))


def _answer(book: Rulebook, answer: Answer) -> str:
    """An answer as it might be: `tide line seen [tide-line-seen], “yes” instead of “no”`."""
    return _answered(book, answer.attribute, [answer.value], answer.was)


def _answered(book: Rulebook, attribute: str, values: Sequence[Value], was: Value | None) -> str:
    *others, last = [f"“{value_words(book, attribute, value)}”" for value in values]
    said = f"{', '.join(others)} or {last}" if others else last
    instead = "" if was is None else f" instead of “{value_words(book, attribute, was)}”"
    return f"{named(book, attribute)}, {said}{instead}"


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
    steps = f" The test: {names(book, item.steps)}." if item.steps else ""
    return Entry(
        f"{sentence(named(book, item.finding))} It is met {item.with_first} with the first alone, {item.with_second}"
        f" with the second alone.{asked}{steps}"
    )


def what_if_section(book: Rulebook, found: WhatIf) -> Section:
    """The opinion with changed answers beside the opinion as it is."""
    entries = [
        Entry(sentence(f"{named(book, item.attribute)}: {item.after} instead of {item.before}"))
        for item in found.changes
    ]
    entries.append(Entry(sentence(f"as it is, {_standing(book, found.before)}")))
    entries.append(Entry(sentence(f"with the change, {_standing(book, found.after)}")))
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
    """What leads and what is determined, as a clause."""
    level = {"cause": "that is determined", "mechanism": "its mechanism is determined, the cause is not"}
    return f"{_lead(book, found.leading)}; {level.get(found.level, 'nothing is determined')}"


def change_section(book: Rulebook, found: WhatWouldChange) -> Section:
    """What would change the answer, the cheapest first; answers to one question that come to the same are told in one.

    Sets of several answers stand each by itself.
    """
    entries = [Entry(sentence(f"as it is, {_standing(book, found.before)}"))]
    groups = (
        ("Open questions whose answer would change that, cheapest first:", False),
        ("Answers that would change that if they proved otherwise, cheapest to check first:", True),
    )
    for title, reopens in groups:
        told = [flip for flip in found.flips if flip.reopens == reopens]
        if told:
            alike = groupby(told, key=_question_and_outcome)
            entries.append(Entry(title, tuple(_flips(book, list(flips)) for _, flips in alike)))
    if not found.flips:
        entries.append(Entry("No one, two or three answers that were tried would change that."))
    return Section("What would change it", tuple(entries))


def _question_and_outcome(flip: Flip) -> object:
    """Equal for answers to one and the same question after which the same leads."""
    first = flip.answers[0]
    if len(flip.answers) > 1:
        return flip.answers
    return first.attribute, flip.after.determined, flip.after.level, flip.after.leading


def _flips(book: Rulebook, flips: Sequence[Flip]) -> Entry:
    first = flips[0]
    effort = f"about {first.minutes:.0f} minute{'' if first.minutes == 1 else 's'}"
    if len(first.answers) > 1:
        asked = "; ".join(_answer(book, answer) for answer in first.answers)
    else:
        answer = first.answers[0]
        asked = _answered(book, answer.attribute, [flip.answers[0].value for flip in flips], answer.was)
    return Entry(
        f"{clause(asked)} ({effort}). Then {_standing(book, first.after)}.",
        tuple(_after(book, flip, alone=len(flips) == 1) for flip in flips),
    )


def _after(book: Rulebook, flip: Flip, *, alone: bool) -> Entry:
    beliefs = list_words(f"{book.title(cause)} {about(p)}" for cause, p in flip.probabilities)
    said = "" if alone else f"with “{value_words(book, flip.answers[0].attribute, flip.answers[0].value)}”: "
    stands = () if flip.after.determined else flip.new_obstacles[:2]
    return Entry(sentence(f"{said}{beliefs}"), tuple(Entry(sentence(f"in the way then: {why}")) for why in stands))
