"""Unsound networks and observations are refused with words that say what is wrong."""

from __future__ import annotations

import pytest

from engine.inference.belief import EchoModel, FindingModel, Network, Observation
from engine.inference.facts import Sureness


def sign(name="sign", background=0.1, alone=None, masks=None):
    return FindingModel(name, ("absent", "present"), ((background, alone or {"cause": 0.8}),), masks or {})


def graded(slight, strong):
    return FindingModel("graded", ("none", "slight", "strong"), (slight, strong))


@pytest.mark.parametrize("probability", [0, 1, -0.1, 1.5, float("nan")])
@pytest.mark.parametrize("place", ["background", "alone", "mask"])
def test_no_strength_is_zero_or_one(place, probability):
    model = {
        "background": sign(background=probability),
        "alone": sign(alone={"cause": probability}),
        "mask": sign(masks={"cause": probability}),
    }[place]
    with pytest.raises(ValueError, match=r"finding 'sign'.*strictly between 0 and 1"):
        Network(["cause"], [model])


def test_grades_out_of_order_are_refused_with_the_causes_that_show_it():
    with pytest.raises(ValueError, match=r"'strong' or more \(probability 0.2\) must be rarer than 'slight'.*no cause"):
        Network(["cause"], [graded((0.1, {}), (0.2, {}))])
    with pytest.raises(ValueError, match=r"0\.9\).*\(0\.5\) with cause at work"):
        Network(["cause"], [graded((0.1, {"cause": 0.5}), (0.05, {"cause": 0.9}))])
    with pytest.raises(ValueError, match="must be rarer"):
        Network(["cause"], [graded((0.1, {"cause": 0.5}), (0.1, {"cause": 0.2}))])


def test_grades_that_only_two_causes_together_put_out_of_order_are_refused():
    slight, strong = (0.2, {"one": 0.22, "two": 0.22}), (0.14, {"one": 0.2, "two": 0.2})
    Network(["one", "two"], [graded((0.2, {"one": 0.22}), (0.14, {"one": 0.2}))])
    with pytest.raises(ValueError, match="with one and two at work"):
        Network(["one", "two"], [graded(slight, strong)])


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ((["cause", "cause"], [sign()], []), "a cause is named twice"),
        ((["cause"], [sign(), sign()], []), "a finding is named twice"),
        ((["other"], [sign()], []), "'cause' is not a cause"),
        ((["cause"], [sign(masks={"gone": 0.5})], []), "'gone' is not a cause"),
        ((["cause"], [sign()], [EchoModel("echo", ("sign", "gone"), 0.5)]), "'gone' is not a finding"),
        ((["cause"], [sign()], [EchoModel("echo", ("sign",), 1.2)]), "a correlation in 0..1"),
        ((["cause"], [sign()], [EchoModel("echo", ("sign", "sign"), 0.5)]), "one group, once"),
        (
            (["cause"], [sign()], [EchoModel("echo", ("sign",), 0.5), EchoModel("more", ("sign",), 0.5)]),
            "already a member of 'echo'",
        ),
        ((["cause"], [FindingModel("sign", ("present",), ())], []), "at least two different states"),
        ((["cause"], [FindingModel("sign", ("a", "b", "c"), ((0.1, {}),))], []), "one background and causes for each"),
    ],
)
def test_an_unsound_network_is_refused(parts, says):
    with pytest.raises(ValueError, match=says):
        Network(*parts)


def test_ratios_below_one_are_refused():
    with pytest.raises(ValueError, match="ratios of 1 or more"):
        Network(["cause"], [sign()], ratios=dict.fromkeys(Sureness, 0.5))


@pytest.mark.parametrize(
    ("priors", "observations", "says"),
    [
        ({}, [], "'cause' has no prior"),
        ({"cause": 1.0}, [], r"a prior in \[0, 1\)"),
        ({"cause": -0.1}, [], r"a prior in \[0, 1\)"),
        ({"cause": float("nan")}, [], r"a prior in \[0, 1\)"),
        ({"cause": 0.1, "cuase": 0.1}, [], "'cuase' is not a cause of this network; did you mean 'cause'"),
        (
            {"cause": 0.1},
            [Observation("sgin", "present")],
            "'sgin' is not a finding of this network; did you mean 'sign'",
        ),
        ({"cause": 0.1}, [Observation("sign", "presnt")], "'presnt' is not a state .*did you mean 'present'"),
        ({"cause": 0.1}, [Observation("sign", "present", mask=1.0)], r"a mask in \[0, 1\)"),
        ({"cause": 0.1}, [Observation("sign", "present"), Observation("sign", "absent")], "observed twice"),
    ],
)
def test_what_cannot_be_weighed_is_refused(priors, observations, says):
    with pytest.raises(ValueError, match=says):
        Network(["cause"], [sign()]).weigh(priors, observations)


def test_questions_about_the_wrong_findings_are_refused():
    network = Network(["cause"], [sign(), sign("other"), *(sign(f"more-{i}") for i in range(5))])
    posterior = network.weigh({"cause": 0.1}, [Observation("sign", "present")])
    with pytest.raises(ValueError, match="'sign' is observed already"):
        posterior.predictive("sign")
    with pytest.raises(ValueError, match="'sign' is observed already"):
        posterior.information(["sign"])
    with pytest.raises(ValueError, match="'other' was not observed"):
        posterior.without(["other"])
    with pytest.raises(ValueError, match="'other' was not observed"):
        posterior.probability_under("other", ["cause"])
    for asked in ([], ["other", "other"], [f"more-{i}" for i in range(5)]):
        with pytest.raises(ValueError, match="one to 4 different findings"):
            posterior.information_of(asked)
    with pytest.raises(ValueError, match="is not a cause"):
        posterior.any_of(["caus"])
