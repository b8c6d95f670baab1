"""The kinds of record: the name of each kind's folder or file, its model, and what one of it is called."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from engine.rulebook.legal import BankHolidays, Duty
from engine.rulebook.models import (
    Cause,
    Caution,
    Echo,
    Finding,
    Measure,
    Parameter,
    Question,
    Record,
    ReferenceClass,
    Rule,
    Scale,
    Source,
    Step,
    Topic,
    WordList,
)
from engine.rulebook.reviewing import Remark

KINDS: Mapping[str, type[Record]] = MappingProxyType(
    {
        "scales": Scale,
        "sources": Source,
        "topics": Topic,
        "parameters": Parameter,
        "words": WordList,
        "reference_classes": ReferenceClass,
        "questions": Question,
        "measures": Measure,
        "causes": Cause,
        "findings": Finding,
        "echoes": Echo,
        "rules": Rule,
        "steps": Step,
        "cautions": Caution,
        "bank_holidays": BankHolidays,
        "duties": Duty,
        "reviews": Remark,
    }
)
"""Every kind of record by the name of its folder or file."""

ONE_OF: Mapping[str, str] = MappingProxyType(
    {
        "scales": "scale",
        "sources": "source",
        "topics": "topic",
        "parameters": "parameter",
        "words": "word list",
        "reference_classes": "reference class",
        "questions": "question",
        "measures": "measure",
        "causes": "cause",
        "findings": "finding",
        "echoes": "echo group",
        "rules": "rule",
        "steps": "step",
        "cautions": "caution",
        "bank_holidays": "bank holiday list",
        "duties": "duty",
        "reviews": "review remark",
    }
)
"""What one record of each kind is called in messages."""
