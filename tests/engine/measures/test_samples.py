import pytest

from engine.measures.samples import sample_facts

WALL = {"id": "wall", "kind": "wall", "width_mm": 3000, "height_mm": 2400, "material": "brick"}
HEIGHTS = (100, 300, 600, 900, 1200, 1500)
RISING = ((14, 1), (11, 1.5), (8, 2.5), (5, 4), (3, 2.5), (2, 1.5))
"""Moisture as found and hygroscopic, wet basis, of a diagnosed wall (illustrative, judgement)."""
SALTS_ONLY = ((2, 2), (2, 2.5), (3, 4), (3.5, 4.5), (2, 2.5), (1, 1.5))


def sample(name, height, found, hygroscopic=None, dry=4.0, **more):
    """A sample by its wet-basis moistures [%]."""
    data = {"id": name, "surface": "wall", "x_mm": 500, "y_mm": height, "dry_g": dry, **more}
    if found is not None:
        data["wet_g"] = dry / (1 - found / 100)
    if hygroscopic is not None:
        data["conditioned_g"] = dry / (1 - hygroscopic / 100)
    return data


def column(profile, **more):
    return [
        sample(f"s{height}", height, found, hygroscopic, **more)
        for height, (found, hygroscopic) in zip(HEIGHTS, profile, strict=True)
    ]


@pytest.fixture
def measured(area_case, parameters):
    def run(samples, visits=None, voided=frozenset(), **parts):
        case, area = area_case(visits, samples=samples, surfaces=[WALL], **parts)
        return sample_facts(case, area, parameters, voided)

    return run


def values(result):
    return {fact.attribute: fact.value for fact in result.facts}


def test_the_typical_wall_with_ground_moisture(measured):
    facts = values(measured(column(RISING)))
    assert facts["gravimetric-state"] == "free-water-at-base-strong"
    assert facts["free-water-profile"] == "falls-from-base"
    assert facts["free-water-above-the-base"] == "no"
    assert facts["hygroscopic-peak-height-mm"] == 900
    assert facts["base-moisture-percent"] == pytest.approx(100 * 14 / 86)
    assert facts["hygroscopic-moisture-percent"] == pytest.approx(100 * 4 / 96)


def test_a_sample_of_hardly_any_dry_mass_is_reckoned_like_any_other(measured):
    slip = {
        "id": "slip",
        "surface": "wall",
        "x_mm": 500,
        "y_mm": 100,
        "dry_g": 0.001,
        "wet_g": 12.0,
        "conditioned_g": 0.0011,
    }
    assert values(measured([slip]))["gravimetric-state"] == "free-water-at-base-strong"


def test_the_typical_wall_with_salts_alone(measured):
    facts = values(measured(column(SALTS_ONLY)))
    assert facts["gravimetric-state"] == "hygroscopic-only"
    assert facts["free-water-profile"] == "none"
    assert facts["free-water-above-the-base"] == "no"


def test_rain_or_a_leak_higher_up(measured):
    mid_height = ((2, 1), (3, 1), (9, 1), (11, 1), (8, 1), (3, 1))
    facts = values(measured(column(mid_height)))
    assert facts["gravimetric-state"] == "free-water-at-base-weak"
    assert facts["free-water-profile"] == "highest-above-base"
    assert facts["free-water-above-the-base"] == "yes"


def test_water_at_every_height(measured):
    facts = values(measured(column(((8, 1), (8, 1), (9, 1), (8, 1), (8, 1), (7, 1)))))
    assert facts["free-water-profile"] == "at-all-heights"
    assert facts["free-water-above-the-base"] == "yes"


def test_a_dry_wall_is_low(measured):
    facts = values(measured(column(((0.8, 0.5),) * 6)))
    assert facts["gravimetric-state"] == "low"


@pytest.mark.parametrize(
    ("found", "hygroscopic", "state"),
    [
        (5.0, 1.0, "free-water-at-base-strong"),
        (4.9, 1.0, "free-water-at-base-weak"),
        (5.0, 5.0, "hygroscopic-only"),
        (3.0, 4.0, "hygroscopic-only"),
        (1.5, 3.0, "hygroscopic-only"),
        (1.5, 1.5, "low"),
        (1.5, 0.5, "low"),
    ],
)
def test_the_reading_rule_at_the_base(measured, found, hygroscopic, state):
    """BRE Digest 245 (through quotations): 5 % wet basis, and more than the salts would hold."""
    assert values(measured([sample("base", 100, found, hygroscopic)]))["gravimetric-state"] == state


def test_free_water_within_the_weighing_error_is_none_but_only_fairly_surely(measured):
    result = measured([sample("base", 100, 4.0, 3.8)])
    facts = {fact.attribute: (fact.value, fact.sureness.word) for fact in result.facts}
    assert facts["gravimetric-state"] == ("hygroscopic-only", "fairly-sure")


def test_a_carbide_reading_is_converted_and_gives_total_moisture_only(measured):
    result = measured([{"id": "base", "surface": "wall", "x_mm": 0, "y_mm": 100, "carbide_percent": 8.0}])
    facts = values(result)
    assert facts["base-moisture-percent"] == pytest.approx(8.70, abs=0.005)
    assert facts["total-moisture-only"] == "yes"
    assert "gravimetric-state" not in facts
    assert any("cannot be told apart" in why for _, why in result.limits)


def test_a_dry_carbide_reading_still_says_low(measured):
    result = measured([{"id": "base", "surface": "wall", "x_mm": 0, "y_mm": 100, "carbide_percent": 1.0}])
    assert values(result)["gravimetric-state"] == "low"


def test_the_surface_layer_is_kept_apart_from_the_core(measured):
    skin = sample("skin", 100, 9.0, 1.0, depth_from_mm=0, depth_to_mm=15)
    core = sample("core", 100, 2.4, 2.2, depth_from_mm=20, depth_to_mm=80)
    facts = values(measured([skin, core]))
    assert facts["skin-free-water-percent"] == pytest.approx(100 * 9 / 91 - 100 / 99)
    assert facts["core-free-water-percent"] < 1
    assert facts["gravimetric-state"] == "hygroscopic-only"
    assert facts["base-moisture-percent"] == pytest.approx(100 * 2.4 / 97.6)


def test_two_heights_make_no_profile(measured):
    facts = values(measured(column(RISING)[:2]))
    assert "free-water-profile" not in facts
    assert "hygroscopic-peak-height-mm" not in facts


def test_samples_from_higher_up_alone_say_nothing_of_the_base(measured):
    result = measured(column(RISING)[2:])
    assert "gravimetric-state" not in values(result)
    assert any("near its base" in why for _, why in result.limits)


def test_heights_count_from_the_floor_line(area_case, parameters):
    line = {
        "id": "floor",
        "kind": "floor-line",
        "shape": "line",
        "x_mm": 0,
        "y_mm": 500,
        "to_x_mm": 3000,
        "to_y_mm": 500,
    }
    case, area = area_case(samples=[sample("base", 600, 9, 1)], surfaces=[{**WALL, "features": [line]}])
    result = sample_facts(case, area, parameters)
    assert result.samples[0].height_mm == 100
    assert values(result)["gravimetric-state"] == "free-water-at-base-strong"


def test_the_order_of_samples_changes_nothing(measured):
    assert measured(column(RISING)) == measured(column(RISING)[::-1])


def test_of_one_place_the_later_visit_wins(measured):
    visits = [{"id": "first", "on": "2025-01-10"}, {"id": "second", "on": "2026-01-10"}]
    wet, dry = sample("wet", 100, 12, 1, visit="first"), sample("dry", 100, 1.5, 1, visit="second")
    assert values(measured([wet, dry], visits))["gravimetric-state"] == "low"


def test_masses_do_not_count_when_the_balance_is_voided(measured):
    visits = [
        {"id": "first", "on": "2025-01-10", "instruments": [{"id": "scale", "mode": "balance", "scale": "grams"}]}
    ]
    assert measured([sample("base", 100, 9, 1)], visits, frozenset({("first", "scale")})).facts == ()


@pytest.mark.parametrize(
    ("faulty", "doubt"),
    [
        ({"dry_g": 2.0, "wet_g": 1.9}, "the mass as found (1.9 g) is less than the dry mass (2 g), which cannot be"),
        ({"dry_g": 2.0, "wet_g": 2.1, "conditioned_g": 1.9}, "the mass at 75 % (1.9 g) is less than the dry mass"),
        ({"dry_g": 0.5, "wet_g": 0.6, "conditioned_g": 0.51}, "a dry mass of 0.5 g is less than the 2 g"),
        ({"wet_g": 2.1}, "there is no dry mass"),
        ({"carbide_percent": 99.0}, "a carbide reading of 99 % cannot be"),
    ],
)
def test_each_impossible_sample_gets_a_doubt_of_its_own(measured, faulty, doubt):
    result = measured([{"id": "base", "surface": "wall", "x_mm": 0, "y_mm": 100, **faulty}])
    assert any(doubt in text for text in result.doubts), result.doubts


@pytest.mark.parametrize(
    ("name", "mass", "band"),
    [
        ("nitrate", 0.0, "none"),
        ("nitrate", 0.05, "low"),
        ("nitrate", 0.1, "medium"),
        ("nitrate", 0.3, "high"),
        ("chloride", 0.3, "medium"),
        ("sulphate", 1.6, "high"),
    ],
)
def test_an_ions_mass_falls_into_its_published_band(measured, name, mass, band):
    result = measured([sample("base", 100, 5, 2, ions=[{"name": name, "mass_percent": mass}])])
    assert values(result)[f"salt-{name}"] == band
    assert {f.sureness.word for f in result.facts if f.attribute == f"salt-{name}"} == {"certain"}


def test_a_strips_band_is_fairly_sure_and_the_highest_of_all_samples_counts(measured):
    low = sample("one", 100, 5, 2, ions=[{"name": "nitrate", "band": "low"}])
    high = sample("two", 900, 5, 2, ions=[{"name": "nitrate", "band": "high"}])
    result = measured([low, high])
    assert [(f.value, f.sureness.word) for f in result.facts if f.attribute == "salt-nitrate"] == [
        ("high", "fairly-sure")
    ]


def test_a_strip_that_disagrees_with_the_laboratory_is_doubted(measured):
    ions = [{"name": "chloride", "band": "none", "mass_percent": 0.6}]
    result = measured([sample("base", 100, 5, 2, ions=ions)])
    assert values(result)["salt-chloride"] == "high"
    assert any("strip says chloride none, mass says high; the mass counts" in text for text in result.doubts)


def test_ammonium_by_mass_has_no_published_band(measured):
    result = measured([sample("base", 100, 5, 2, ions=[{"name": "ammonium", "mass_percent": 0.1}])])
    assert "salt-ammonium" not in values(result)
    assert any("no load bands by mass are published for ammonium" in text for text in result.doubts)


@pytest.mark.parametrize(
    ("humidity", "behaviour"),
    [(88.0, "take-up-water"), (60.0, "may-take-up-water"), (25.0, "unlikely-to-take-up-water")],
)
def test_chlorides_at_the_rooms_humidity(measured, humidity, behaviour):
    samples = [sample("base", 100, 5, 2, ions=[{"name": "chloride", "band": "high"}])]
    result = measured(samples, air=[{"temperature_c": 20.0, "humidity_percent": humidity}])
    assert values(result)["salts-at-room-humidity"] == behaviour


def test_a_low_load_says_nothing_of_the_room(measured):
    samples = [sample("base", 100, 5, 2, ions=[{"name": "chloride", "band": "low"}])]
    result = measured(samples, air=[{"temperature_c": 20.0, "humidity_percent": 80.0}])
    assert "salts-at-room-humidity" not in values(result)
