"""A case given to trainees without its answers, and the answers in a file apart that only fits this case.

Sealing hides nothing by art: whoever has the key file has the answers. What the evidence itself says stays.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field as Bounded
from pydantic import ValidationError

from engine.case.base import Model
from engine.case.digest import case_digest
from engine.case.models import Case
from engine.case.quantities import Digest
from engine.case.reading import parse_case
from engine.case.vocabulary import Vocabulary
from engine.documents import Document, FieldPath, read_document
from engine.errors import InvalidInput, Problem
from engine.sharing.renaming import renamed
from engine.sharing.walking import Field, changed

UNTITLED = "A practice case"
WITHHELD = "withheld until the review"


class Withheld(Model):
    """A part of the case as it was: the path to it, and what stood there."""

    at: Annotated[tuple[str | int, ...], Bounded(min_length=1, max_length=20)]
    value: Any


class SealKey(Model):
    """What was taken out of a case when it was sealed; ``sealed`` is the digest of the case that it fits."""

    format: Literal[1]
    sealed: Digest
    withheld: tuple[Withheld, ...]


def seal(case: Case, vocabulary: Vocabulary) -> tuple[Case, SealKey]:
    """The case without its key, and that key with all else that told the answer.

    Out go every part marked as a verdict (the key, titles and comments of the case, conclusions) and, wherever they
    stand, text and ids that name a true cause by its id or title. InvalidInput for a case without a key.
    """
    if case.key is None:
        found, advice = "a case without a key", "only a worked case has answers to seal"
        raise InvalidInput([Problem(case.id, None, "key", found, "a key with the truth of each area", advice)])
    names = _true_names(case, vocabulary)

    def tells(text: str) -> bool:
        plain = " ".join(text.lower().replace("-", " ").split())
        return any(name in plain for name in names)

    def change(field: Field) -> Any:
        if field.mark.verdict:
            return UNTITLED if field.required else None
        if field.mark.personal == "reviewed" and tells(str(field.value)):
            return WITHHELD if field.required else None
        return field.value

    bare = renamed(changed(case, change), tells)
    sealed = bare.model_copy(update={"id": f"practice-{case_digest(bare.model_copy(update={'id': 'practice'}))[:8]}"})
    taken = tuple(Withheld(at=path, value=value) for path, value in _differences(_plain(case), _plain(sealed), ()))
    return sealed, SealKey(format=1, sealed=case_digest(sealed), withheld=taken)


def unseal(case: Case, key: SealKey) -> Case:
    """A sealed case joined with its key: the case as it was, but for files beside it, which keep their new names.

    InvalidInput where the key belongs to another case, or the case was changed since.
    """
    if case_digest(case) != key.sealed:
        found, allowed = f"a case of digest {case_digest(case)[:12]}", f"the case of digest {key.sealed[:12]}"
        raise InvalidInput(
            [Problem(case.id, None, "", found, allowed, "the key belongs to that case as it was sealed")]
        )
    data = _plain(case)
    try:
        for part in key.withheld:
            _put(data, part.at, part.value)
    except (LookupError, TypeError, AttributeError):
        found = "a key whose paths lead nowhere in the case"
        raise InvalidInput([Problem(case.id, None, "withheld", found, "the key as it was written")]) from None
    return parse_case(Document(case.id, data, {}))


def key_text(key: SealKey) -> str:
    """A key as the text of its file."""
    return json.dumps(key.model_dump(mode="json"), ensure_ascii=False, indent=2) + "\n"


def read_key(path: Path) -> SealKey:
    """The key in a file; InvalidInput with every fault where it is none."""
    document = read_document(path)
    try:
        return SealKey.model_validate_json(json.dumps(document.data))
    except ValidationError as error:
        allowed = "a key as `case seal` writes it"
        problems = [document.problem(fault["loc"], fault["msg"].lower(), allowed) for fault in error.errors()]
        raise InvalidInput(problems) from None


def _plain(case: Case) -> dict[str, Any]:
    data: dict[str, Any] = case.model_dump(mode="json", exclude_defaults=True)
    return data


def _true_names(case: Case, vocabulary: Vocabulary) -> frozenset[str]:
    """The ids and titles of the causes that are true of the case, in small letters without hyphens."""
    truth = {cause for area in (case.key.areas if case.key else ()) for cause in area.truth}
    titles = [str(getattr(vocabulary.causes.get(cause), "title", cause)) for cause in truth]
    return frozenset(" ".join(text.lower().replace("-", " ").split()) for text in (*truth, *titles))


def _differences(before: Any, after: Any, path: FieldPath) -> Iterator[tuple[FieldPath, Any]]:
    """What stood at each place of the first that is not so in the second; lists have the same length in both."""
    if isinstance(before, dict) and isinstance(after, dict):
        for name, value in before.items():
            yield from _differences(value, after.get(name), (*path, name))
    elif isinstance(before, list) and isinstance(after, list):
        for place, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from _differences(one, other, (*path, place))
    elif before != after:
        yield path, before


def _put(data: Any, at: FieldPath, value: Any) -> None:
    for step in at[:-1]:
        data = data[step]
    if isinstance(data, Mapping) != isinstance(at[-1], str):
        raise LookupError(at)
    data[at[-1]] = value
