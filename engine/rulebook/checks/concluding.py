"""Conclusions of rules: one target with its companion, in a stratum that may conclude it; words on their scales."""

from __future__ import annotations

from collections.abc import Iterator

from engine.documents import FieldPath
from engine.errors import Problem, nearest
from engine.rulebook.checks.inspection import Inspection, listed
from engine.rulebook.models import Conclusion, Rule

_TARGETS = ("finding", "leaning", "exclude", "doubt", "void", "timber", "step", "caution")
_COMPANIONS = {"finding": "state", "leaning": "strength", "exclude": "overturned_by"}
_MAY_CONCLUDE = {
    "admission": ("void",),
    "readings": ("finding", "leaning", "exclude", "doubt"),
    "patterns": ("finding", "leaning", "exclude", "doubt"),
    "advice": ("step", "caution", "timber"),
}


def faults(inspection: Inspection) -> Iterator[Problem]:
    """Every fault of what rules conclude."""
    for rule in inspection.rulebook.rules.values():
        for number, conclusion in enumerate(rule.conclude):
            yield from _conclusion_faults(inspection, rule, ("conclude", number), conclusion)
            if conclusion in rule.conclude[:number]:
                found = "the same conclusion a second time"
                yield inspection.problem(rule.id, ("conclude", number), found, "each conclusion once", "delete it")


def _conclusion_faults(
    inspection: Inspection, rule: Rule, path: FieldPath, conclusion: Conclusion
) -> Iterator[Problem]:
    targets = [name for name in _TARGETS if getattr(conclusion, name) is not None]
    if len(targets) != 1:
        found = f"the targets {listed(targets)}" if targets else "no target"
        advice = "write an entry of its own for each" if targets else ""
        yield inspection.problem(rule.id, path, found, f"exactly one of {', '.join(_TARGETS)}", advice)
        return
    target = targets[0]
    allowed = _MAY_CONCLUDE[rule.stratum]
    if target not in allowed:
        right = [stratum for stratum, kinds in _MAY_CONCLUDE.items() if target in kinds]
        found = f"{target!r} in a rule of the stratum {rule.stratum}"
        advice = f"write 'stratum: {right[-1]}'"
        yield inspection.problem(rule.id, (*path, target), found, f"there: {', '.join(allowed)}", advice)
    for owner, companion in _COMPANIONS.items():
        given = getattr(conclusion, companion) is not None
        if owner == target and not given:
            advice = f"add '{companion}: …'"
            yield inspection.problem(
                rule.id, path, f"{target!r} without {companion!r}", f"{target!r} with {companion!r}", advice
            )
        elif owner != target and given:
            found = f"{companion!r} beside {target!r}"
            yield inspection.problem(
                rule.id, (*path, companion), found, f"{companion!r} only beside {owner!r}", "delete it"
            )
    yield from _value_faults(inspection, rule, path, conclusion)


def _value_faults(inspection: Inspection, rule: Rule, path: FieldPath, conclusion: Conclusion) -> Iterator[Problem]:
    finding = inspection.rulebook.findings.get(conclusion.finding or "")
    if finding is not None and conclusion.state is not None and conclusion.state not in finding.states():
        allowed = f"for {finding.id}: {listed(finding.states())}"
        close = nearest(conclusion.state, finding.states())
        yield inspection.problem(rule.id, (*path, "state"), repr(conclusion.state), allowed, "", close)
    scale = inspection.rulebook.scales.get("leaning")
    strength = conclusion.strength if conclusion.leaning is not None else None
    if scale is not None and strength is not None and strength not in scale.words:
        allowed = f"on the scale 'leaning': {listed(scale.words, 20)}"
        close = nearest(strength, scale.words)
        yield inspection.problem(rule.id, (*path, "strength"), repr(strength), allowed, "", close)
    if conclusion.doubt is not None and conclusion.sureness == "certain":
        advice = "add 'sureness: fairly-sure' or 'sureness: not-sure', to which the doubt lowers it"
        yield inspection.problem(rule.id, path, "a doubt that lowers nothing", "a sureness below certain", advice)
