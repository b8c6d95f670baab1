"""The digest of a case: the same for the same evidence, in whatever order it is written."""

from __future__ import annotations

import hashlib
import json
from json.encoder import encode_basestring
from typing import Any

from engine.case.models import Case


def case_digest(case: Case) -> str:
    """SHA-256, in hexadecimal, of a case's canonical JSON without its key and the rule base that it is pinned to.

    Lists are sorted and fields left at their defaults are left out, so that neither the order of entries in
    a file, nor its layout, nor a field that a later version adds changes the digest.
    """
    data = case.model_dump(mode="json", exclude={"key", "weighed_with"}, exclude_defaults=True)
    return hashlib.sha256(_canonical(data).encode("utf-8")).hexdigest()


def _canonical(value: Any) -> str:
    if isinstance(value, str):
        return encode_basestring(value)
    if isinstance(value, dict):
        fields = [f"{encode_basestring(name)}:{_canonical(value[name])}" for name in sorted(value)]
        return "{" + ",".join(fields) + "}"
    if isinstance(value, list):
        return "[" + ",".join(sorted([_canonical(item) for item in value])) + "]"
    if isinstance(value, float):
        return float.__repr__(value + 0.0)  # minus zero and zero are one number
    return json.dumps(value)
