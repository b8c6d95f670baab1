"""The kinds of value that a case is made of, each with its bounds: text, days, lengths, readings, percentages.

A value outside its bounds is refused by the model that holds it, never clipped. Kinds of text differ in what they may
disclose: a label or remark is read before it is sent, a heading or comment may besides give a practice case away.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints

from engine.case.disclosure import Disclosure

_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]")
"""Control characters, line separators, marks that reverse the writing direction: never part of honest text."""


def _printable(text: str) -> str:
    match = _UNPRINTABLE.search(text)
    if match:
        raise ValueError(f"the control character U+{ord(match[0]):04X}")
    return text


def _one_line(text: str) -> str:
    if "\n" in text or "\t" in text:
        raise ValueError("a line end or a tab")
    return _printable(text)


def _written_day(value: object) -> object:
    if not isinstance(value, str):
        return value
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII):
        raise ValueError("not a date written year-month-day")
    return date.fromisoformat(value)


Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=64)]
Line = Annotated[str, StringConstraints(min_length=1, max_length=300, strip_whitespace=True), AfterValidator(_one_line)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=20_000), AfterValidator(_printable)]
Label = Annotated[Line, Disclosure("reviewed")]
Remark = Annotated[Text, Disclosure("reviewed")]
Heading = Annotated[Line, Disclosure("reviewed", verdict=True)]
Comment = Annotated[Text, Disclosure("reviewed", verdict=True)]
Person = Annotated[Line, Disclosure("name")]
Address = Annotated[Line, Disclosure("address")]
Identifier = Annotated[Line, Disclosure("identifier")]
FileName = Annotated[Line, Disclosure("file")]
Day = Annotated[date, Field(ge=date(1900, 1, 1), le=date(2199, 12, 31)), BeforeValidator(_written_day)]
SigningDay = Annotated[Day, Disclosure("name")]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Millimetres = Annotated[float, Field(ge=-100_000, le=100_000)]
Length = Annotated[float, Field(gt=0, le=100_000)]
Depth = Annotated[float, Field(ge=0, le=2_000)]
Celsius = Annotated[float, Field(ge=-40, le=60)]
Humidity = Annotated[float, Field(ge=0, le=100)]
Scale = Annotated[float, Field(ge=0, le=10_000)]
Grams = Annotated[float, Field(gt=0, le=100_000)]
Percent = Annotated[float, Field(ge=0, le=100)]
