"""What a report is made of, whatever file it ends in: sections of a few kinds of block. Every text is plain text.

No block holds markup: what a person wrote in a case stands in it as it was written, and each format escapes it in
its own way. Ids are stable: the same case and the same rules give the same ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from engine.days import day_words
from engine.opinion.models import Stamp
from engine.rulebook.telling import Entry

if TYPE_CHECKING:
    from engine.case.photographs import Held
    from engine.reporting.figures import Figure

Audience = Literal["technical", "householder", "both"]


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; ``lead`` is said first and stands out."""

    text: str
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Points:
    """A list; an entry may have others under it."""

    entries: tuple[Entry, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a caption and a header row; the first cell of a row heads it. ``figures`` are columns of numbers."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: tuple[int, ...] = ()

    def filled(self) -> Table:
        """The table without the columns in which every cell is empty; the first column always stays."""
        kept = [c for c in range(len(self.header)) if c == 0 or not self.rows or any(row[c] for row in self.rows)]
        return Table(
            self.caption,
            tuple(self.header[c] for c in kept),
            tuple(tuple(row[c] for c in kept) for row in self.rows),
            tuple(new for new, old in enumerate(kept) if old in self.figures),
        )


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure with its text equivalent and the numbers that it shows."""

    figure: Figure


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph by reference: its caption, what is to be seen, and what is known of the file, with any warning."""

    caption: str
    alt: str
    about: str
    held: Held


@dataclass(frozen=True, slots=True)
class Notice:
    """Something that must not be overlooked: a caution to people, a draft, or a thing that is missing."""

    kind: Literal["caution", "draft", "missing", "note"]
    title: str
    text: str


Block = Paragraph | Points | Table | Picture | Photograph | Notice


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it."""

    id: str
    title: str
    blocks: tuple[Block, ...] = ()
    sections: tuple[Section, ...] = ()

    def walk(self) -> Iterator[Section]:
        """The section and all under it, in reading order."""
        yield self
        for section in self.sections:
            yield from section.walk()


@dataclass(frozen=True, slots=True)
class Part:
    """One version of the report: the householder's page or the technical report."""

    id: Literal["householder", "technical"]
    title: str
    sections: tuple[Section, ...]

    def walk(self) -> Iterator[Section]:
        """Every section, in reading order."""
        for section in self.sections:
            yield from section.walk()


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report. ``dated`` is the last day that the case itself knows of: nothing in it comes from a clock."""

    title: str
    dwelling: str
    author: str
    invented: bool
    draft: bool
    dated: date
    case: Stamp
    rulebook: Stamp
    version: str
    parts: tuple[Part, ...]

    @property
    def about(self) -> str:
        """What stands under the title: the dwelling, the day, and who inspected."""
        day = f"{'as at' if self.draft else 'signed'} {day_words(self.dated, weekday=False)}"
        return f"{self.dwelling}; {day}{f'; {self.author}' if self.author else ''}."

    @property
    def pins(self) -> str:
        """What stands at the foot: the digests that pin the report, and whose the last word is."""
        digests = f"Rule base {self.rulebook.digest[:12]}, case {self.case.digest[:12]}, dampwright {self.version}."
        return f"{digests} The inspector concludes and signs."

    def walk(self) -> Iterator[Section]:
        """Every section of every part, in reading order."""
        for part in self.parts:
            yield from part.walk()
