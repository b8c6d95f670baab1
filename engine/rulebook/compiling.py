"""What inference runs on: the records turned into chaining rules, a belief network and a class of place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.inference.conditions import Condition, Outcome, bind, evaluate, parse_condition
from engine.inference.facts import Facts, Sureness
from engine.inference.rules import ChainConclusion, ChainRule
from engine.rulebook.book import Rulebook
from engine.rulebook.models import Conclusion, Finding, Grade, Observation, Rule

if TYPE_CHECKING:
    from engine.inference.belief import Network
    from engine.inference.echoes import EchoModel
    from engine.inference.noisy import FindingModel


def compile_rules(rulebook: Rulebook, stratum: str) -> tuple[ChainRule, ...]:
    """The rules of a stratum (admission, readings, patterns, advice), bound to the parameters, in id order.

    Those of *readings* include two or more for every ``observed_by`` of a finding: ``tide-line:present`` and
    so on, or ``tide-line:present:2`` for a second attribute. Retired rules are left out. The rule base must be
    sound: KeyError or ValueError for an unknown parameter or a test that cannot be read.
    """
    rules = [compile_rule(rulebook, rule) for rule in active_rules(rulebook) if rule.stratum == stratum]
    if stratum == "readings":
        rules += [rule for finding in rulebook.findings.values() for rule in observation_rules(rulebook, finding)]
    return tuple(sorted(rules, key=lambda rule: rule.id))


def active_rules(rulebook: Rulebook) -> tuple[Rule, ...]:
    """Every rule that is not retired, in id order."""
    return tuple(rule for rule in rulebook.rules.values() if rule.status != "retired")


def compile_rule(rulebook: Rulebook, rule: Rule) -> ChainRule:
    """One written rule, bound to the parameters."""
    conclusions = tuple(_compiled(conclusion) for conclusion in rule.conclude)
    return ChainRule(rule.id, bind(rule.when, rulebook.numbers), conclusions, rule.priority)


def observation_rules(rulebook: Rulebook, finding: Finding) -> tuple[ChainRule, ...]:
    """The rules by which the attributes of ``observed_by`` settle a finding, each certain."""
    rules = []
    for number, seen in enumerate(finding.observed_by, start=1):
        for state, condition in observed_states(seen, finding).items():
            name = f"{finding.id}:{state}" if number == 1 else f"{finding.id}:{state}:{number}"
            concluded = (ChainConclusion("finding", finding.id, state, Sureness.CERTAIN),)
            rules.append(ChainRule(name, bind(condition, rulebook.numbers), concluded))
    return tuple(rules)


def observed_states(seen: Observation, finding: Finding) -> dict[str, Condition]:
    """The condition for each state that an observation may settle.

    Unless stated, yes means the strongest state and no the weakest. ValueError for a test that cannot be read.
    """
    weakest, *_, strongest = finding.states()
    stated = seen.states if seen.states is not None else {strongest: "yes", weakest: "no"}
    return {state: parse_condition({seen.attribute: test}) for state, test in stated.items()}


def _compiled(conclusion: Conclusion) -> ChainConclusion:
    sureness = Sureness.of(conclusion.sureness)
    if conclusion.finding is not None:
        return ChainConclusion("finding", conclusion.finding, conclusion.state or "", sureness)
    if conclusion.leaning is not None:
        return ChainConclusion("leaning", conclusion.leaning, conclusion.strength or "", sureness)
    if conclusion.exclude is not None:
        return ChainConclusion("exclude", conclusion.exclude, conclusion.overturned_by or "", sureness)
    if conclusion.doubt is not None:
        return ChainConclusion("doubt", conclusion.doubt, conclusion.sureness, Sureness.CERTAIN)
    if conclusion.void is not None:
        return ChainConclusion("void", conclusion.void, "", sureness)
    if conclusion.timber is not None:
        return ChainConclusion("timber", conclusion.timber, "", sureness)
    if conclusion.step is not None:
        return ChainConclusion("step", conclusion.step, "", sureness)
    if conclusion.caution is not None:
        return ChainConclusion("caution", conclusion.caution, "", sureness)
    raise ValueError("a conclusion names one target")


def network(rulebook: Rulebook) -> Network:
    """The belief network over all causes, findings and echo groups, the words of strength turned into numbers."""
    from engine.inference.belief import Network

    return Network(
        tuple(rulebook.causes),
        tuple(finding_model(rulebook, finding) for finding in rulebook.findings.values()),
        echo_models(rulebook),
    )


def echo_models(rulebook: Rulebook) -> tuple[EchoModel, ...]:
    """The echo groups, in id order."""
    from engine.inference.echoes import EchoModel

    return tuple(EchoModel(echo.id, echo.members, echo.correlation) for echo in rulebook.echoes.values())


def finding_model(rulebook: Rulebook, finding: Finding) -> FindingModel:
    """A finding with the numbers of its words."""
    from engine.inference.noisy import FindingModel

    masks = {mask.cause: rulebook.word("mask", mask.strength) for mask in finding.masks if mask.cause is not None}
    levels = tuple(
        (
            rulebook.word("frequency", level.background),
            {cause: rulebook.word("frequency", word) for cause, word in level.makes.items()},
        )
        for level in strength_levels(finding)
    )
    return FindingModel(finding.id, finding.states(), levels, masks)


def strength_levels(finding: Finding) -> tuple[Grade, ...]:
    """How often each state above the weakest is reached or passed; ValueError when the finding states it not at all."""
    if finding.grades is not None:
        return (finding.grades["slight"], finding.grades["strong"])
    if finding.background is None:
        raise ValueError(f"{finding.id}: neither background nor grades")
    return (Grade(background=finding.background, makes=finding.makes),)


def reference_class(rulebook: Rulebook, facts: Facts) -> str:
    """The id of the first reference class whose condition holds on the facts; LookupError when none does."""
    for place in rulebook.reference_classes.values():
        if place.when is None or evaluate(bind(place.when, rulebook.numbers), facts).outcome is Outcome.HOLDS:
            return place.id
    raise LookupError("no reference class holds, and none is without a condition")
