"""Single calculations: the table agrees with the measures and the rule base, and carries out what it says."""

from __future__ import annotations

import math
import shlex

import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.calculations import CALCULATIONS, samples
from engine.calculations.calculating import calculate, to_data
from engine.calculations.models import Amount, Choice
from engine.errors import InvalidInput
from engine.measures.salts import SALTS
from engine.rulebook import load_rulebook

EVERY = list(CALCULATIONS.values())
AMOUNTS = [(one, amount) for one in EVERY for amount in one.inputs if isinstance(amount, Amount)]
CHOICES = [(one, choice) for one in EVERY for choice in one.inputs if isinstance(choice, Choice)]


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook(cache=False)


def written(calculation, **others):
    parts = shlex.split(calculation.example)
    given_texts = {}
    for option, text in zip(parts[::2], parts[1::2], strict=True):
        given_texts.setdefault(option.removeprefix("--"), []).append(text)
    return given_texts | others


def results(outcome):
    return {one.id: one.value for one in outcome.results}


def refused(calculation, others, rulebook):
    try:
        calculate(calculation, written(calculation, **others), rulebook)
    except InvalidInput as refusal:
        return {fault.field for fault in refusal.problems}
    return set()


def name(value):
    return getattr(value, "id", None) or getattr(value, "name", None)


@pytest.mark.parametrize("calculation", EVERY, ids=name)
def test_every_example_gives_results_with_sources_that_say_how_they_reached_us(calculation, rulebook):
    outcome = calculate(calculation, written(calculation), rulebook)
    assert outcome.results
    assert not outcome.doubts
    assert len({one.id for one in outcome.results}) == len(outcome.results)
    for reference in outcome.sources:
        published = rulebook.sources[reference.id].kind == "published"
        assert (reference.seen in ("read", "secondary", "from_memory")) == published
    for result in outcome.results:
        assert isinstance(result.value, str) or math.isfinite(result.value)


@pytest.mark.parametrize(("calculation", "amount"), AMOUNTS, ids=name)
def test_a_number_out_of_range_is_refused_with_the_range_named(calculation, amount, rulebook):
    for value in (amount.greatest + 1, amount.least - 1, math.nan, math.inf):
        with pytest.raises(InvalidInput) as refusal:
            calculate(calculation, written(calculation, **{amount.name: [f"{value}"]}), rulebook)
        fault = refusal.value.problems[0]
        assert (fault.field, fault.allowed) == (amount.name, amount.allowed())
        assert f"{amount.greatest:g}" in fault.allowed


@pytest.mark.parametrize(("calculation", "amount"), AMOUNTS, ids=name)
def test_no_value_in_range_is_refused_by_its_own_name_or_fails_otherwise(calculation, amount, rulebook):
    @settings(max_examples=25)
    @given(value=st.floats(amount.least, amount.greatest))
    def holds(value):
        try:
            outcome = calculate(calculation, written(calculation, **{amount.name: [repr(value)]}), rulebook)
        except InvalidInput as refusal:
            for fault in refusal.problems:
                assert fault.allowed
                assert f"{amount.least:g} to {amount.greatest:g} {amount.unit}".strip() != fault.allowed
        else:
            assert all(isinstance(one.value, str) or math.isfinite(one.value) for one in outcome.results)

    holds()


@pytest.mark.parametrize(("calculation", "choice"), CHOICES, ids=name)
def test_each_word_of_a_choice_is_taken_and_a_misspelt_one_gets_the_nearest(calculation, choice, rulebook):
    words = choice.among(rulebook.numbers)
    assert words
    for word in words:
        assert choice.name not in refused(calculation, {choice.name: [word.upper().replace("-", " ")]}, rulebook)
    misspelt = words[0] + "x"
    with pytest.raises(InvalidInput) as refusal:
        calculate(calculation, written(calculation, **{choice.name: [misspelt]}), rulebook)
    assert refusal.value.problems[0].nearest in words


def test_everything_missing_is_told_at_once(rulebook):
    with pytest.raises(InvalidInput) as refusal:
        calculate(CALCULATIONS["vapour-excess"], {}, rulebook)
    fields = {fault.field for fault in refusal.value.problems}
    assert fields == {"temperature", "humidity", "outside", "outside-humidity"}


def test_what_cannot_stand_together_is_refused_by_the_measure(rulebook):
    calculation = CALCULATIONS["humidity-of-dew-point"]
    with pytest.raises(InvalidInput, match="above the air temperature"):
        calculate(calculation, {"temperature": ["10"], "dew-point": ["12"]}, rulebook)


@pytest.mark.parametrize(("text", "advice"), [("20,5", "decimal point"), ("68", "Fahrenheit"), ("68F", "")])
def test_numbers_that_read_otherwise_get_advice(text, advice, rulebook):
    with pytest.raises(InvalidInput) as refusal:
        calculate(CALCULATIONS["dew-point"], {"temperature": [text], "humidity": ["50"]}, rulebook)
    assert advice in refusal.value.problems[0].advice


def test_a_humidity_that_reads_like_a_fraction_is_doubted(rulebook):
    outcome = calculate(CALCULATIONS["dew-point"], {"temperature": ["20"], "humidity": ["0.6"]}, rulebook)
    assert "is 60 % meant" in outcome.doubts[0]


def test_the_dew_point_agrees_with_psychrolib(rulebook):
    """Source: psychrolib 2.5 (ASHRAE Handbook 2017); the Magnus form stays within 0.1 K of it in rooms."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for celsius, humidity in ((20, 60), (5, 90), (28, 35)):
        given_texts = {"temperature": [str(celsius)], "humidity": [str(humidity)]}
        found = results(calculate(CALCULATIONS["dew-point"], given_texts, rulebook))["dew-point"]
        assert found == pytest.approx(psychrolib.GetTDewPointFromRelHum(celsius, humidity / 100), abs=0.1)


@pytest.mark.parametrize(("surface", "verdict"), [("12", "below"), ("15.5", "undecided"), ("18", "above")])
def test_the_temperature_factor_is_undecided_where_its_band_holds_the_limit(surface, verdict, rulebook):
    given_texts = {"surface": [surface], "inside": ["20"], "outside": ["2"]}
    outcome = calculate(CALCULATIONS["temperature-factor"], given_texts, rulebook)
    factor = next(one for one in outcome.results if one.id == "temperature-factor")
    assert factor.lower < factor.value < factor.upper
    assert results(outcome)["verdict"] == verdict


def test_a_timber_reading_without_temperature_has_a_wider_band(rulebook):
    def band(**given_texts):
        found = calculate(CALCULATIONS["timber"], {"reading": ["19"], **given_texts}, rulebook).results[0]
        return found.upper - found.lower

    assert band() > band(temperature=["12"]) > band(temperature=["12"], species=["softwood"])


def test_repeated_readings_count_by_their_median_and_spread(rulebook):
    calculation, at = CALCULATIONS["timber"], {"temperature": ["20"]}
    one = calculate(calculation, {"reading": ["19"], **at}, rulebook).results[0]
    three = calculate(calculation, {"reading": ["16", "19", "22"], **at}, rulebook).results[0]
    assert three.value == one.value
    assert three.upper > one.upper


PAIRS = [
    ("wood-equilibrium", "humidity", "wood-humidity", "moisture", {"temperature": ["12"]}, "80"),
    ("resistance-of-moisture", "moisture", "moisture-of-resistance", "resistance", {}, "15"),
    ("carbide", "reading", "wet-basis", "moisture", {}, "5"),
    ("absolute-humidity", "humidity", "humidity-of-content", "content", {"temperature": ["18"]}, "62"),
]


@pytest.mark.parametrize(("there", "begin", "back", "end", "common", "value"), PAIRS)
def test_a_calculation_and_its_inverse_come_round(there, begin, back, end, common, value, rulebook):
    middle = calculate(CALCULATIONS[there], {begin: [value], **common}, rulebook).results[0]
    scale = 1e6 if middle.unit == "MΩ" else 1.0
    out = calculate(CALCULATIONS[back], {end: [repr(middle.value * scale)], **common}, rulebook).results[0]
    assert out.value == pytest.approx(float(value), rel=1e-9)


def test_a_sample_without_its_conditioned_mass_does_not_part_free_water_from_salts(rulebook):
    alone = results(calculate(CALCULATIONS["gravimetric"], {"wet": ["21"], "dry": ["20"]}, rulebook))
    assert "not known" in alone["free-water"]
    salty = {"wet": ["21"], "dry": ["20"], "conditioned": ["21.1"]}
    assert results(calculate(CALCULATIONS["gravimetric"], salty, rulebook))["verdict"] == "hygroscopic only"


def test_a_firms_own_limit_is_used_and_named(rulebook):
    own = rulebook.parameters["temperature-factor-limit"].model_copy(update={"value": 0.6})
    firm = rulebook.__class__(
        **{**vars_of(rulebook), "parameters": {**rulebook.parameters, "temperature-factor-limit": own}}
    )
    given_texts = {"surface": ["13.5"], "inside": ["20"], "outside": ["2"]}
    outcome = calculate(CALCULATIONS["temperature-factor"], given_texts, firm)
    assert results(outcome)["verdict"] == "above"
    assert ("temperature-factor-limit", 0.6) in {(limit.id, limit.value) for limit in outcome.limits}


def vars_of(rulebook):
    return {field: getattr(rulebook, field) for field in rulebook.__dataclass_fields__}


def test_the_salts_named_for_help_are_those_of_the_measures():
    assert {name.replace("-", " ") for name in samples.SALTS} == set(SALTS)


def test_every_parameter_named_in_the_table_is_in_the_rule_base(rulebook):
    for calculation in EVERY:
        named = [name for name in calculation.parameters if "{" not in name]
        named += [one.parameter for one in calculation.inputs if isinstance(one, Amount) and one.parameter]
        assert set(named) <= set(rulebook.parameters)


def test_an_outcome_is_plain_data_with_its_sources(rulebook):
    data = to_data(calculate(CALCULATIONS["dew-point"], written(CALCULATIONS["dew-point"]), rulebook))
    assert data["results"][0] == {"id": "dew-point", "title": "dew point", "value": 11.9955, "unit": "°C"}
    assert data["sources"][0]["seen"] == rulebook.sources["wmo-no-8"].seen
    assert data["equation"]
    assert data["valid"]
