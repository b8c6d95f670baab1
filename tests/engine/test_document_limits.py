"""How many values a document may hold, whatever little room each of them takes up."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.documents import LIMITS, Limits, read_document
from engine.errors import InvalidInput

FEW = Limits(parts=10)


@pytest.mark.parametrize(
    ("name", "text"),
    [("case.yaml", "a: [1, 2, 3, 4, 5, 6, 7, 8]\n"), ("case.json", '{"a": [1, 2, 3, 4, 5, 6, 7, 8]}')],
)
def test_as_many_values_as_allowed_are_read_and_one_more_is_refused(name, text):
    assert read_document(Path(name), text=text, limits=FEW).data == {"a": list(range(1, 9))}
    with pytest.raises(InvalidInput) as fault:
        read_document(Path(name), text=text.replace("8", "8, 9"), limits=FEW)
    (problem,) = fault.value.problems
    assert (problem.line, problem.found) == (1, "more than 10 values")
    assert problem.advice == "keep long series in files of their own"


def test_a_full_case_of_readings_is_far_below_the_limit():
    reading = "- {x_mm: 1, y_mm: 1, instrument: p, value: 1}\n"
    assert LIMITS.size / len(reading) * 5 < LIMITS.parts


@pytest.mark.parametrize("name", ["case.yaml", "case.json"])
def test_of_very_many_unprintable_characters_those_that_can_usefully_be_listed_are(name):
    with pytest.raises(InvalidInput) as fault:
        read_document(Path(name), text="a\u2028\n" * 1_000)
    *listed, last = fault.value.problems
    assert [problem.line for problem in listed] == list(range(1, LIMITS.faults + 1))
    assert last.found == "more faults from here on, not listed"
