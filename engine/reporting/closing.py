"""The end of a technical report: photographs, declaration, sources, limits of the method, and what pins it."""

from __future__ import annotations

from engine.days import day_words
from engine.reporting.blocks import Block, Paragraph, Points, Section, Table
from engine.reporting.material import Material, disagrees, signed
from engine.reporting.photographs import photographs
from engine.reporting.phrases import capital, missing, titles
from engine.reporting.readability import Readability
from engine.rulebook.models import Citation
from engine.rulebook.telling import SEEN, Entry

LIMITS = "report-limits"
KINDS = {"published": "published", "common-practice": "common practice, no source", "judgement": "trade judgement"}


def closing(found: Material, householder: Readability) -> tuple[Section, ...]:
    """The sections at the end; ``householder`` is how plainly the householder's page reads."""
    return (
        photographs(found),
        Section("sign-off", "The inspector's conclusion and declaration", _sign_off(found)),
        Section("sources", "Sources, and how each reached us", _sources(found)),
        Section("limits", "Limits of the method", _limits(found)),
        Section("pins", "What this report rests on", _pins(found, householder)),
    )


def _sign_off(found: Material) -> tuple[Block, ...]:
    rows = []
    for place in found.places:
        conclusion = place.area.conclusion
        own = titles(found.rulebook, conclusion.causes) or "no active damp" if conclusion else "not recorded"
        then = "differs" if disagrees(place, found.rulebook) else "agrees"
        signature = "not signed"
        if conclusion and signed(conclusion) and conclusion.signed_on:
            signature = f"{conclusion.signed_by}, {day_words(conclusion.signed_on, weekday=False)}"
        rows.append((place.area.title, capital(own), then if conclusion else "no conclusion to compare", signature))
    header = ("Place", "The inspector's own conclusion", "Beside the program's opinion", "Signed by")
    blocks: list[Block] = [
        Table("Conclusions and signatures", header, tuple(rows)),
        Paragraph(
            "The conclusion is the inspector's alone. The program's opinion is support for it and is labelled wherever"
            " it is printed. The signature declares that the inspector made or oversaw the inspection, that what is"
            " reported as seen or measured was seen or measured, and that interests are stated above."
        ),
    ]
    if not all(signed(place.area.conclusion) for place in found.places):
        blocks.append(missing("Not every conclusion is signed: this report is a draft."))
    return tuple(blocks)


def _sources(found: Material) -> tuple[Block, ...]:
    book = found.rulebook
    cited: dict[str, set[str]] = {}
    for citation in _citations(found):
        cited.setdefault(citation.source, set()).update({citation.clause} if citation.clause else ())
    rows = []
    for name in sorted(cited, key=lambda one: (book.sources[one].kind != "published", book.title(one))):
        source = book.sources[name]
        by = ", ".join(str(part) for part in (source.authors, source.year) if part)
        seen = SEEN[source.seen] if source.seen else "not a published source"
        rows.append((source.title, by, KINDS[source.kind], "; ".join(sorted(cited[name])), seen))
    note = (
        "“Read” means that the text itself was read for the rule base; “at second hand”, that it is known through"
        " other texts; “from memory”, that it was not looked up. What is not “read” should be looked up before it is"
        " relied on."
    )
    header = ("Source", "By", "Kind", "Where in it", "How it reached us")
    return (
        Table("Sources of the rules, measures, steps and cautions in this report", header, tuple(rows)).filled(),
        Paragraph(note),
    )


def _citations(found: Material) -> list[Citation]:
    """What the records that bear on these places cite."""
    book = found.rulebook
    cited: list[Citation] = []
    for place in found.places:
        opinion = place.opinion
        names = {line.rule.partition(":")[0] for line in opinion.trace} | {line.rule for line in opinion.trace}
        names |= {name for name in place.subject.facts if name in book.measures}
        names |= {step.id for step in opinion.steps} | {item.id for item in opinion.cautions} | set(opinion.leading)
        for name in sorted(names & set(book.records)):
            cited += getattr(book.records[name], "source", ())
    return cited


def _limits(found: Material) -> tuple[Block, ...]:
    return (Points(tuple(Entry(text) for text in found.rulebook.words[LIMITS].words)),)


def _pins(found: Material, householder: Readability) -> tuple[Block, ...]:
    rows = (
        ("Rule base", found.opinion.rulebook.digest),
        ("Case", found.opinion.case.digest),
        ("Program", f"dampwright {found.opinion.version}"),
    )
    return (
        Table("Versions and digests (SHA-256)", ("What", "Version or digest"), rows),
        Paragraph("The same case and the same rule base give the same report, to the byte."),
        Paragraph(householder.sentence(), "How plainly the householder's page reads. "),
    )
