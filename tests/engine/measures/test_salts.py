import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.salts import (
    SALTS,
    behaviour_in_room,
    deliquescence_humidity,
    salts_of,
    water_drawn_by_sodium_chloride,
)

ions = st.sets(st.sampled_from(["chloride", "nitrate", "sulphate", "ammonium"]), min_size=1)


@given(ions, st.floats(5, 25), st.floats(0, 100), st.floats(0, 50))
def test_damper_air_never_makes_salts_drier(found, celsius, percent, more):
    order = ["unlikely-to-take-up-water", "may-take-up-water", "take-up-water"]
    drier, damper = (behaviour_in_room(found, celsius, min(h, 100.0)) for h in (percent, percent + more))
    assert order.index(drier) <= order.index(damper)


def test_an_ion_is_said_to_take_up_water_only_when_every_salt_of_it_does():
    highest = max(salt.humidity(20.0) for salt in salts_of(["chloride"]))
    assert behaviour_in_room(["chloride"], 20.0, highest) == "take-up-water"
    assert behaviour_in_room(["chloride"], 20.0, highest - 1) == "may-take-up-water"
    assert behaviour_in_room(["chloride"], 20.0, 25.0) == "unlikely-to-take-up-water"


def test_ordinary_room_air_may_keep_chloride_and_nitrate_damp():
    assert behaviour_in_room(["chloride", "nitrate"], 20.0, 58.0) == "may-take-up-water"


def test_nothing_is_said_without_ions():
    assert behaviour_in_room([], 20.0, 60.0) is None


def test_every_salt_refuses_temperatures_outside_its_own_range():
    for name, salt in SALTS.items():
        assert 0 < salt.humidity(salt.least) <= 100
        with pytest.raises(ValueError, match=f"temperature for {name}"):
            deliquescence_humidity(name, salt.greatest + 0.5)


def test_water_drawn_grows_with_humidity_and_is_refused_beyond_the_table():
    drawn = [water_drawn_by_sodium_chloride(percent) for percent in range(76, 97)]
    assert drawn == sorted(drawn)
    with pytest.raises(ValueError, match="relative humidity: found 50"):
        water_drawn_by_sodium_chloride(50)
