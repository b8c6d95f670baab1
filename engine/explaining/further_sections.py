"""Explanations as sections of sentences: how sure, what if, and what would change it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from engine.explaining.answers import Answer
from engine.explaining.changing import Flip, WhatWouldChange
from engine.explaining.how_sure import HowSure
from engine.explaining.sections import Section, names
from engine.explaining.steadiness import Steadiness, Swing
from engine.explaining.what_if import Standing, WhatIf
from engine.explaining.wording import (
    answer_words,
    believed,
    clause,
    sentence,
    share,
    value_words,
)
from engine.opinion.words import about, list_words
from engine.rulebook import Rulebook
from engine.rulebook.telling import Entry, named

DROPS = 5
"""How many single facts are told; the data holds them all."""


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
    lead = _lead(book, found.leading)
    if found.level == "cause":
        return f"{lead} and {'are' if len(found.leading) > 1 else 'is'} determined"
    determined = "the mechanism is determined, the cause is not" if found.determined else "nothing is determined"
    return f"{lead}; {determined}"


def change_section(book: Rulebook, found: WhatWouldChange) -> Section:
    """What would change the answer, the cheapest first; neighbours that come to the same are told in one."""
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
    """Equal for answers to one question, or sets of as many and as dear, after which the same leads."""
    what = flip.answers[0].attribute if len(flip.answers) == 1 else (len(flip.answers), flip.minutes)
    return what, flip.after.determined, flip.after.level, flip.after.leading


def _flips(book: Rulebook, flips: Sequence[Flip]) -> Entry:
    """Answers or sets of answers that come to the same: what would be answered, what then leads, how it is believed."""
    first = flips[0]
    together, alone = len(first.answers) > 1, len(flips) == 1
    effort = f"about {first.minutes:.0f} minute{'' if first.minutes == 1 else 's'}"
    if alone:
        asked = "; ".join(_answer(book, answer) for answer in first.answers)
    elif together:
        asked, effort = f"any of these {'pairs' if len(first.answers) == 2 else 'threes'}", f"{effort} each"
    else:
        answer = first.answers[0]
        asked = answer_words(book, answer.attribute, [flip.answers[0].value for flip in flips], answer.was)
    entries = []
    for flip in flips:
        answers = "; ".join(_answer(book, answer) for answer in flip.answers)
        said = f"with “{value_words(book, flip.answers[0].attribute, flip.answers[0].value)}”"
        before = "" if alone else f"{answers if together else said}: "
        beliefs = list_words(f"{book.title(cause)} {about(p)}" for cause, p in flip.probabilities)
        entries.append(Entry(sentence(f"{before}{beliefs}")))
    obstacles = dict.fromkeys(why for flip in flips if not flip.after.determined for why in flip.new_obstacles[:2])
    entries += [Entry(sentence(f"in the way then: {why}")) for why in list(obstacles)[:2]]
    return Entry(f"{clause(asked)} ({effort}). Then {_standing(book, first.after)}.", tuple(entries))


def _answer(book: Rulebook, answer: Answer) -> str:
    return answer_words(book, answer.attribute, [answer.value], answer.was)
