"""A further supporting finding never lowers its cause within its group, where the group's order is sound."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.inference.belief import EchoModel, FindingModel, Network, Observation, echo_faults

SEED = st.integers(0, 2**32 - 1)
LAW = settings(max_examples=40, deadline=None)


def sign(name, background, alone):
    return FindingModel(name, ("absent", "present"), ((background, alone),))


def drawn_group(beliefs, seed):
    """Two to four findings over two or three causes, all in one group."""
    rng = np.random.default_rng(seed)
    drawn = beliefs.draw_network(
        rng,
        causes=int(rng.integers(2, 4)),
        findings=int(rng.integers(2, 5)),
        parents=2,
        masked=0.2,
        graded=0.3,
        grouped=0.0,
    )
    members = tuple(rng.permutation([model.id for model in drawn.findings]).tolist())
    correlation = float(rng.choice([0.3, 0.6, 0.9, 1.0]))
    return rng, drawn, Network(drawn.causes, drawn.findings, [EchoModel("echo", members, correlation)]), members


def support(network, observations, cause, others):
    """Log-likelihood ratio of a cause, exactly these others being at work or not: from the probabilities of sets."""
    priors = dict.fromkeys(network.causes, 0.3)
    sets = {frozenset(c): p for c, p in network.weigh(priors, observations).sets(1 << len(network.causes))}
    return float(np.log(sets[others | {cause}] / sets[others] / (0.3 / 0.7)))


def decibans(log_ratio):
    return float(log_ratio * 10 / np.log(10))


def losses(network, members, *, beside_others):
    """By weighing: each (finding, cause) whose supporting observation somewhere lowers its cause, and by how much."""
    states = {model.id: model.states for model in network.models}
    found = {}
    for cause in network.causes:
        others = [frozenset[str]()] + [
            frozenset({other}) for other in network.causes if beside_others and other != cause
        ]
        for beside in others:
            weights = {
                finding: {s: support(network, [Observation(finding, s)], cause, beside) for s in states[finding]}
                for finding in members
            }
            for count in range(1, len(members) + 1):
                for seen in combinations(members, count):
                    for chosen in product(*(states[finding] for finding in seen)):
                        observations = [Observation(f, s) for f, s in zip(seen, chosen, strict=True)]
                        whole = support(network, observations, cause, beside)
                        for i, finding in enumerate(seen):
                            if weights[finding][chosen[i]] < 1e-9:
                                continue
                            rest = support(network, observations[:i] + observations[i + 1 :], cause, beside)
                            if rest - whole > 1e-8:
                                found[finding, cause] = max(found.get((finding, cause), 0.0), decibans(rest - whole))
    return found


@LAW
@given(seed=SEED)
def test_the_faults_of_a_group_are_those_that_weighing_every_choice_of_its_members_shows(beliefs, seed):
    _, _, network, members = drawn_group(beliefs, seed)
    reported = {(fault.finding, fault.cause): fault.decibans for fault in echo_faults(network, beside_others=True)}
    assert reported == pytest.approx(losses(network, members, beside_others=True), abs=1e-6)
    alone = {(fault.finding, fault.cause): fault.decibans for fault in echo_faults(network)}
    assert alone == pytest.approx(losses(network, members, beside_others=False), abs=1e-6)


def test_both_sound_and_faulty_groups_are_drawn(beliefs):
    counts = [len(echo_faults(drawn_group(beliefs, seed)[2])) for seed in range(40)]
    assert any(counts)
    assert not all(counts)


def test_a_weak_member_before_a_strong_one_is_a_fault_and_after_it_none():
    strong, weak = sign("strong", 0.02, {"cause": 0.9}), sign("weak", 0.35, {"cause": 0.5})
    faulty = Network(["cause"], [strong, weak], [EchoModel("echo", ("weak", "strong"), 0.8)])
    sound = Network(["cause"], [strong, weak], [EchoModel("echo", ("strong", "weak"), 0.8)])
    (fault,) = echo_faults(faulty)
    assert (fault.group, fault.finding, fault.later, fault.cause, fault.beside) == (
        "echo",
        "weak",
        ("strong",),
        "cause",
        None,
    )
    alone, both = [Observation("strong", "present")], [Observation("weak", "present"), Observation("strong", "present")]
    loss = support(faulty, alone, "cause", frozenset()) - support(faulty, both, "cause", frozenset())
    assert loss > 0
    assert fault.decibans == pytest.approx(decibans(loss))
    assert echo_faults(sound) == []


def test_members_that_share_no_cause_are_no_fault():
    network = Network(
        ["one", "other"],
        [sign("a", 0.35, {"one": 0.5}), sign("b", 0.02, {"other": 0.9})],
        [EchoModel("echo", ("a", "b"), 0.8)],
    )
    assert echo_faults(network) == []


@LAW
@given(
    strengths=st.lists(st.floats(0.1, 0.9), min_size=2, max_size=4),
    background=st.floats(0.02, 0.3),
    correlation=st.floats(0, 1),
    seen=st.integers(1, 15),
)
def test_with_the_strongest_first_each_further_supporting_finding_raises_its_cause(
    strengths, background, correlation, seen
):
    """Ordered by strength over one background of at most 0.3, and no other cause at work."""
    ordered = sorted(strengths, reverse=True)
    names = [f"sign-{i}" for i in range(len(ordered))]
    signs = [
        sign(n, background, {"cause": background + s * (1 - background)}) for n, s in zip(names, ordered, strict=True)
    ]
    network = Network(["cause"], signs, [EchoModel("echo", tuple(names), correlation)])
    assert echo_faults(network) == []
    observations = [Observation(n, "present") for i, n in enumerate(names) if seen >> i & 1]
    for finding in set(names) - {observation.finding for observation in observations}:
        before = network.weigh({"cause": 0.2}, observations).marginals["cause"]
        after = network.weigh({"cause": 0.2}, [*observations, Observation(finding, "present")]).marginals["cause"]
        assert after >= before - 1e-12
