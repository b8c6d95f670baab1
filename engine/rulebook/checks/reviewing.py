"""Remarks of practice reviews: of parts that there are, testing and saying what their part knows, each reachable."""

from __future__ import annotations

from collections.abc import Iterator
from string import Formatter

from engine.documents import FieldPath
from engine.errors import Problem, nearest
from engine.inference.conditions import Test, tests
from engine.rulebook.checks.inspection import Inspection, listed
from engine.rulebook.reviewing import PARTS, Remark


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Parts that there are none of, tests and names in braces that a part does not know, remarks never said."""
    always: dict[str, Remark] = {}
    for remark in sorted(inspection.rulebook.reviews.values(), key=lambda one: (one.part, one.rank, one.id)):
        if remark.part not in PARTS:
            close = nearest(remark.part, PARTS)
            yield inspection.problem(remark.id, ("part",), repr(remark.part), listed(PARTS, len(PARTS)), "", close)
            continue
        for test in tests(remark.when) if remark.when is not None else ():
            yield from _of_test(inspection, remark, test)
        yield from _of_words(inspection, remark)
        if remark.part in always:
            first = always[remark.part]
            found = f"a remark that is never said, for {first.id!r} ({inspection.at(first.id)}) comes first and holds"
            yield inspection.problem(remark.id, ("rank",), found, "a lower rank, or a condition for the other")
        elif remark.when is None:
            always[remark.part] = remark


def _of_test(inspection: Inspection, remark: Remark, test: Test) -> Iterator[Problem]:
    path: FieldPath = ("when",)
    known = {name: slot for name, slot in PARTS[remark.part].items() if slot.testable}
    slot = known.get(test.attribute)
    if slot is None and not known:
        yield inspection.problem(remark.id, path, repr(test.attribute), f"no condition in the part {remark.part}")
    elif slot is None:
        close = nearest(test.attribute, known)
        allowed = f"in the part {remark.part}: {listed(known, len(known))}"
        yield inspection.problem(remark.id, path, repr(test.attribute), allowed, "", close)
    elif test.operator == "in":
        for value in test.operand:
            if slot.words and value not in slot.words:
                allowed = f"for {test.attribute}: {listed(slot.words)}"
                close = nearest(str(value), slot.words)
                yield inspection.problem(remark.id, path, repr(value), allowed, "", close)
            elif slot.unit and isinstance(value, str):
                allowed = f"for {test.attribute}, which is a number [{slot.unit}]: a range"
                yield inspection.problem(remark.id, path, repr(value), allowed)
    elif test.operator == "range" and slot.words:
        allowed = f"for {test.attribute}, a word: {listed(slot.words)}"
        yield inspection.problem(remark.id, path, "a test of a number", allowed)


def _of_words(inspection: Inspection, remark: Remark) -> Iterator[Problem]:
    known = PARTS[remark.part]
    try:
        names = [name for _, name, _, _ in Formatter().parse(remark.say) if name is not None]
    except ValueError as fault:
        yield inspection.problem(remark.id, ("say",), f"braces that cannot be read ({fault})", "{name}")
        return
    for name in dict.fromkeys(names):
        if name not in known:
            allowed = f"in the part {remark.part}: {listed(known, len(known))}"
            yield inspection.problem(remark.id, ("say",), f"{{{name}}}", allowed, "", nearest(name, known))
