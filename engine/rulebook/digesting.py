"""Digests of records and of a whole rule base: the same content gives the same digest, however it is written."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from engine.rulebook.models import Record


def record_digest(kind: str, record: Record) -> str:
    """SHA-256 [hex] of a record's kind and content as canonical JSON; fields left at their default do not count."""
    content = record.model_dump(mode="json", exclude_defaults=True)
    return _digest([kind, content])


def base_digest(digests: Mapping[str, str], reference_classes: Mapping[str, Record]) -> str:
    """SHA-256 [hex] of all records' digests by id, and of the order in which reference classes are tried."""
    return _digest([sorted(digests.items()), list(reference_classes)])


def _digest(content: object) -> str:
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
