"""A case read from a file: its form, then everything that must agree within it, all faults at once."""

from __future__ import annotations

from pathlib import Path

from engine.case import agreement, attributes, instruments, placement, references
from engine.case.form import formed
from engine.case.migrating import brought_up_to_date
from engine.case.models import Case
from engine.case.parts import Faults, Written
from engine.case.vocabulary import Vocabulary
from engine.documents import Document, read_document
from engine.errors import InvalidInput, Problem

WORKBOOK = ".xlsx"
"""How the name of a form in a workbook ends."""


def read_case(path: Path, *, vocabulary: Vocabulary | None = None) -> Case:
    """The case in a YAML or JSON file, or in a filled-in form of the name .xlsx.

    A file of an older format is read as today's and stays as it is. With a vocabulary its attributes, causes and
    steps are checked too. InvalidInput with every fault that the file has (its form, its references, its geometry, its
    words), each with file, line (or sheet and cell), field, what was found, what is allowed and the nearest name.
    """
    if path.suffix.lower() == WORKBOOK:
        from engine.case.workbook.reading import read_form

        return _checked(*read_form(path), vocabulary)
    return parse_case(read_document(path), vocabulary)


def parse_case(document: Document, vocabulary: Vocabulary | None = None) -> Case:
    """The case that a document holds; InvalidInput with every fault, as for `read_case`."""
    if not isinstance(document.data, dict):
        kind = "a list" if isinstance(document.data, list) else "a single value"
        allowed = "a mapping that begins with 'format: 1'"
        raise InvalidInput([Problem(document.name, document.line(()), "", kind, allowed)])
    return _checked(document, Faults(document), vocabulary)


def _checked(document: Document, faults: Faults, vocabulary: Vocabulary | None) -> Case:
    document = brought_up_to_date(document)
    case = formed(document, faults)
    written = Written(document)
    for check in (references.check, instruments.check, placement.check, agreement.check):
        check(written, faults)
    if vocabulary is not None:
        attributes.check(written, faults, vocabulary)
    if case is None or faults.problems:
        raise InvalidInput(faults.all())
    return case
