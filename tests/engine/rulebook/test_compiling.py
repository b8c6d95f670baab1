"""What inference is given: bound rules by stratum, the numbers of the network, the class of place."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.inference.chaining import Chain
from engine.inference.conditions import Test as AttributeTest
from engine.inference.facts import Fact, Sureness
from engine.inference.rules import ChainConclusion
from engine.rulebook import Rulebook, load_rulebook
from engine.rulebook.compiling import compile_rules, network, reference_class

RULE = """
- id: {id}
  title: a rule
  topic: water
  status: {status}
  author: the founders
  date: 2024-05-01
  stratum: {stratum}
  priority: 7
  when: {when}
  conclude: [{conclude}]
  because: So it is.
  misleads: not_assessed
  source: [{{source: judgement}}]
  fires_on: [{{facts: {{age: new, wall-excess: 2, belief.leak: 0.9}}}}]
  silent_on: [{{facts: {{age: old, wall-excess: 0, belief.leak: 0.1}}}}]
"""


@pytest.fixture
def book(sound: Path) -> Rulebook:
    return load_rulebook(folder=sound, cache=False)


def with_rule(sound: Path, write, **fields: str) -> Rulebook:
    given = {"id": "added", "status": "tested", "stratum": "patterns", "when": "{age: new}", **fields}
    return load_rulebook([write("added", rules=RULE.format(**given))], folder=sound, cache=False)


def test_each_rule_is_in_its_own_stratum_in_id_order(book: Rulebook) -> None:
    ids = {
        stratum: [rule.id for rule in compile_rules(book, stratum)] for stratum in ("admission", "patterns", "advice")
    }
    assert ids == {
        "admission": ["failed-check-voids"],
        "patterns": ["foot-and-stain", "no-foot-or-no-stain"],
        "advice": ["leak-is-mended"],
    }


def test_what_observes_a_finding_becomes_a_rule_for_each_state_among_the_readings(book: Rulebook) -> None:
    rules = {rule.id: rule for rule in compile_rules(book, "readings")}
    assert set(rules) == {
        "old-leans-to-rise",
        *(f"{name}:{state}" for name in ("stain", "follows-tap", "foot-wettest") for state in ("present", "absent")),
        *(f"wall-wet:{state}" for state in ("none", "slight", "strong")),
    }
    assert rules["stain:absent"].when == AttributeTest("stain-seen", "in", ("no",))
    assert rules["wall-wet:slight"].when == AttributeTest("wall-excess", "range", (1.0, 2.5))
    assert rules["wall-wet:slight"].conclusions == (ChainConclusion("finding", "wall-wet", "slight", Sureness.CERTAIN),)


def test_a_second_observation_of_a_finding_has_rules_of_its_own(sound: Path) -> None:
    text = (
        (sound / "findings.yaml")
        .read_text(encoding="utf-8")
        .replace(
            "[{attribute: stain-seen}]",
            "[{attribute: stain-seen}, {attribute: foot-or-crown, states: {absent: crown}}]",
        )
    )
    (sound / "findings.yaml").write_text(text, encoding="utf-8")
    rules = {rule.id for rule in compile_rules(load_rulebook(folder=sound, cache=False), "readings")}
    assert {"stain:present", "stain:absent", "stain:absent:2"} <= rules


@pytest.mark.parametrize(
    ("stratum", "conclude", "expected"),
    [
        ("patterns", "{finding: stain, state: present, sureness: fairly-sure}", ("finding", "stain", "present", 2)),
        ("patterns", "{leaning: leak, strength: against}", ("leaning", "leak", "against", 3)),
        ("patterns", "{exclude: leak, overturned_by: a leak seen}", ("exclude", "leak", "a leak seen", 3)),
        ("patterns", "{doubt: stain, sureness: not-sure}", ("doubt", "stain", "not-sure", 3)),
        ("advice", "{timber: at-risk}", ("timber", "at-risk", "", 3)),
        ("advice", "{step: run-the-tap}", ("step", "run-the-tap", "", 3)),
        ("advice", "{caution: electricity, sureness: not-sure}", ("caution", "electricity", "", 1)),
    ],
)
def test_a_conclusion_keeps_its_kind_target_value_and_sureness(
    sound: Path, write, stratum: str, conclude: str, expected: tuple[str, str, str, int]
) -> None:
    book = with_rule(sound, write, stratum=stratum, conclude=conclude)
    rule = next(rule for rule in compile_rules(book, stratum) if rule.id == "added")
    kind, target, value, sureness = expected
    assert rule.conclusions == (ChainConclusion(kind, target, value, Sureness(sureness)),)
    assert rule.priority == 7


def test_a_void_names_what_it_voids(book: Rulebook) -> None:
    assert compile_rules(book, "admission")[0].conclusions == (ChainConclusion("void", "readings"),)


def test_names_of_parameters_become_their_numbers(sound: Path, write) -> None:
    book = with_rule(sound, write, when="{wall-excess: {at_least: raised}}", conclude="{leaning: leak, strength: for}")
    rule = next(rule for rule in compile_rules(book, "patterns") if rule.id == "added")
    assert rule.when == AttributeTest("wall-excess", "range", (1.0, None))


def test_a_retired_rule_is_left_out(sound: Path, write) -> None:
    book = with_rule(sound, write, status="retired", conclude="{leaning: leak, strength: for}")
    assert "added" in book.rules
    assert "added" not in {rule.id for rule in compile_rules(book, "patterns")}


def test_the_compiled_rules_chain_from_answers_to_patterns(book: Rulebook) -> None:
    chain = Chain([*compile_rules(book, "readings"), *compile_rules(book, "patterns")])
    given = [Fact("stain-seen", "yes"), Fact("foot-or-crown", "foot", Sureness.FAIRLY_SURE), Fact("wall-excess", 2.5)]
    facts = chain.run({fact.attribute: fact for fact in given}).facts
    assert facts["wall-wet"].value == "strong"
    assert (facts["wet-foot-with-stain"].value, facts["wet-foot-with-stain"].sureness) == (
        "present",
        Sureness.FAIRLY_SURE,
    )


def test_the_network_has_the_numbers_of_the_words(book: Rulebook) -> None:
    belief = network(book)
    assert belief.causes == ("leak", "rise")
    priors = {"leak": 0.1, "rise": 0.2}
    stain = belief.weigh(priors, []).predictive("stain")["present"]
    background, with_leak, with_rise = 0.15, 0.4, 0.7  # rarely, sometimes, often
    both = 1 - (1 - with_leak) * (1 - with_rise) / (1 - background)  # noisy-OR of the two over the background
    by_hand = 0.9 * 0.8 * background + 0.1 * 0.8 * with_leak + 0.9 * 0.2 * with_rise + 0.1 * 0.2 * both
    assert stain == pytest.approx(by_hand, abs=1e-12)


def test_a_mask_of_a_cause_hides_its_share_of_a_finding(book: Rulebook) -> None:
    belief = network(book)
    certain_leak = {"leak": 1 - 1e-12, "rise": 0.0}
    wet = belief.weigh(certain_leak, []).predictive("wall-wet")
    assert wet["slight"] + wet["strong"] == pytest.approx(0.9 * (1 - 0.3), abs=1e-9)  # usually, partly hidden
    assert wet["strong"] == pytest.approx(0.7 * (1 - 0.3), abs=1e-9)


def test_the_echo_groups_are_in_the_network(book: Rulebook) -> None:
    group = network(book).echoes[0]
    assert (group.id, group.members, group.correlation) == (
        "wet-foot-group",
        ("wet-foot-with-stain", "foot-wettest"),
        0.8,
    )


def test_the_first_class_of_place_whose_condition_holds_applies(book: Rulebook) -> None:
    assert reference_class(book, {"age": Fact("age", "old")}) == "old-place"
    assert reference_class(book, {"age": Fact("age", "new")}) == "any-place"
    assert reference_class(book, {}) == "any-place"
