"""The sentences of reviews: every part has some, the first that holds is said, and nothing put in breaks them."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.inference.conditions import Outcome, bind, evaluate
from engine.inference.facts import Fact
from engine.practising.remarks import Remarks
from engine.rulebook import load_rulebook
from engine.rulebook.reviewing import PARTS

RULEBOOK = load_rulebook()
REMARKS = Remarks(RULEBOOK)
TEXTS = st.text(string.ascii_letters + " -.?!:{}[]%'\"", min_size=1, max_size=30)


def values(part):
    """Anything that a part may know."""
    of = {}
    for name, slot in PARTS[part].items():
        if slot.words:
            of[name] = st.sampled_from(slot.words)
        elif slot.unit:
            of[name] = st.floats(-200, 200, allow_nan=False)
        else:
            of[name] = TEXTS
    return st.fixed_dictionaries(of)


@pytest.mark.parametrize("part", PARTS)
def test_every_part_of_a_review_has_something_to_say(part):
    assert [remark for remark in RULEBOOK.reviews.values() if remark.part == part]


@given(st.data(), st.sampled_from(sorted(PARTS)))
def test_what_is_said_is_the_first_by_rank_whose_condition_holds(data, part):
    known = data.draw(values(part))
    said = REMARKS.say(part, known)
    facts = {name: Fact(name, value) for name, value in known.items() if PARTS[part][name].testable}
    holding = [
        remark
        for remark in sorted(RULEBOOK.reviews.values(), key=lambda one: (one.rank, one.id))
        if remark.part == part
        and (remark.when is None or evaluate(bind(remark.when, RULEBOOK.numbers), facts).outcome is Outcome.HOLDS)
    ]
    assert len(said) == bool(holding)
    for literal, *_ in string.Formatter().parse(holding[0].say) if holding else ():
        assert " ".join(literal.split()).strip(" .:;,?!'\"()").lower() in said[0].lower()


@given(st.data(), st.sampled_from(sorted(PARTS)))
def test_what_a_person_wrote_is_put_in_as_text_and_never_read_as_a_name(data, part):
    known = data.draw(values(part))
    texts = {name: "{truth} {0} %s" for name, slot in PARTS[part].items() if not slot.testable}
    for sentence in REMARKS.say(part, {**known, **texts}):
        assert sentence


def test_every_remark_is_said_of_something():
    """No remark is hidden by those before it: for each there are values with which it is the one that is said."""
    import random

    dice = random.Random(1)
    unsaid = {remark.id for remark in RULEBOOK.reviews.values()}
    for _ in range(4000):
        for part, slots in PARTS.items():
            known = {
                name: dice.choice(slot.words) if slot.words else dice.uniform(-20, 120) if slot.unit else "text"
                for name, slot in slots.items()
            }
            if dice.random() < 0.5:
                known |= {name: dice.choice([0.0, 0.05, 0.2, 3.0]) for name, slot in slots.items() if slot.unit}
            facts = {name: Fact(name, value) for name, value in known.items() if slots[name].testable}
            for remark in sorted(RULEBOOK.reviews.values(), key=lambda one: (one.rank, one.id)):
                if remark.part == part and (
                    remark.when is None or evaluate(bind(remark.when, RULEBOOK.numbers), facts).outcome is Outcome.HOLDS
                ):
                    unsaid.discard(remark.id)
                    break
        if not unsaid:
            return
    assert not unsaid
