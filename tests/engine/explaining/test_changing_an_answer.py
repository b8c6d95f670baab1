"""What if, what would change it, and why not: every claim is replayed from a changed copy of the case."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path

import pytest

from engine.case.models import Case
from engine.errors import InvalidInput
from engine.explaining.what_if import parse_changes, what_if
from engine.explaining.why_not import why_not
from engine.inference.belief import Observation
from engine.opinion import weigh_with
from engine.opinion.reasoner import Reasoner

CASEBOOK = Path(__file__).parents[3] / "casebook"


@pytest.fixture(scope="session")
def other_reasoner(rulebook):
    """Another reasoner than that of the search, with whatever chains the rules here by default."""
    return Reasoner(rulebook)


def rewritten(subject, answers):
    """The case as a person would rewrite its file: these answers in the place of whatever stood there."""
    data = json.loads(subject.case.model_dump_json())
    names = {answer.attribute for answer in answers}

    def strip(part):
        part["facts"] = [fact for fact in part["facts"] if fact["attribute"] not in names]

    area = next(area for area in data["areas"] if area["id"] == subject.area.id)
    for part in (data["dwelling"], *data["visits"], area, *area["surfaces"]):
        strip(part)
    area["facts"] += [{"attribute": a.attribute, "value": a.value, "basis": "measured"} for a in answers]
    return Case.model_validate_json(json.dumps(data))


def opinion_with(other_reasoner, subject, answers):
    opinion = weigh_with(other_reasoner, rewritten(subject, answers), folder=subject.folder)
    return next(area for area in opinion.areas if area.id == subject.area.id)


def stands(area):
    return area.determined, frozenset(area.leading)


def test_every_set_of_answers_said_to_change_it_does_and_no_part_of_it_alone(
    subjects, some_case_file, other_reasoner, changing, counted
):
    for subject in subjects(some_case_file):
        before = stands(subject.opinion)
        for flip in changing(subject).flips:
            counted["sets of answers that flip"] += 1
            assert stands(opinion_with(other_reasoner, subject, flip.answers)) != before
            for size in range(1, len(flip.answers)):
                for part in combinations(flip.answers, size):
                    assert stands(opinion_with(other_reasoner, subject, part)) == before


def test_what_would_change_it_lists_open_questions_first_and_the_cheapest_of_them_first(undetermined, changing):
    flips = changing(undetermined).flips
    assert flips
    order = [(flip.reopens, flip.minutes) for flip in flips]
    assert order == sorted(order)
    for flip in flips:
        for answer in flip.answers:
            held = undetermined.facts.get(answer.attribute)
            assert answer.was == (held.value if held else None)


def test_every_why_not_names_a_condition_that_raises_the_cause_when_reversed(
    subjects, some_case_file, other_reasoner, whole_replay, counted
):
    for subject in subjects(some_case_file):
        leading = set(subject.judged.determination.leading)
        for place, cause in enumerate(c.id for c in subject.opinion.causes if c.id not in leading):
            if place % 6 and not whole_replay:
                continue
            found = why_not(subject, cause)
            assert found.reversals, cause
            counted["why-nots"] += 1
            replayed = found.reversals[:1] if place % 6 else found.reversals
            counted["conditions reversed"] += len(replayed)
            for reversal in replayed:
                assert raised_to(other_reasoner, subject, cause, reversal) > found.probability


def raised_to(other_reasoner, subject, cause, reversal):
    if reversal.answer is not None:
        opinion = opinion_with(other_reasoner, subject, [reversal.answer, *reversal.also])
        return next(c.probability for c in opinion.causes if c.id == cause)
    seen = [o for o in subject.judged.evidence.observations if o.finding != reversal.finding]
    sureness = subject.judged.belief.posterior.observation(reversal.finding).sureness
    turned = [*seen, Observation(reversal.finding, reversal.state, sureness)]
    return other_reasoner.network.weigh(subject.judged.belief.priors, turned).marginals[cause]


def test_a_cause_that_is_ruled_out_twice_names_the_answers_that_would_undo_both(subjects, other_reasoner):
    subject = subjects(CASEBOOK / "regression" / "bathroom-over-the-dining-room.yaml")[0]
    found = why_not(subject, "slab-no-membrane")
    assert len(found.exclusions) == 2
    (reversal,) = found.reversals
    assert {reversal.answer.attribute, *(a.attribute for a in reversal.also)} == {"storey", "floor-construction"}
    assert raised_to(other_reasoner, subject, "slab-no-membrane", reversal) > found.probability


def test_why_not_says_what_excludes_what_is_absent_unknown_and_lacking(demo):
    found = why_not(demo, "ground-rise")
    assert any(item.finding == "partitions-damp-at-foot" and item.state == "absent" for item in found.against)
    assert all(expected.finding not in demo.judged.belief.posterior.observed for expected in found.unknown)
    assert all(miss.lacked for miss in found.misses)


def test_a_what_if_is_the_opinion_on_a_file_rewritten_so_and_touches_no_case(demo, rulebook, other_reasoner):
    before = demo.case.model_dump()
    changes = parse_changes(rulebook, ["same-damp-without-high-ground=yes", "short-length-matches-outside=no"])
    found = what_if(demo, changes)
    assert demo.case.model_dump() == before

    class Given:
        def __init__(self, attribute, value):
            self.attribute, self.value = attribute, value

    opinion = opinion_with(other_reasoner, demo, [Given(name, value) for name, value in changes.items()])
    probabilities = {cause.id: cause.probability for cause in opinion.causes}
    assert (found.after.determined, found.after.leading) == (opinion.determined, opinion.leading)
    for row in found.causes:
        assert row.after == pytest.approx(probabilities[row.cause])
        assert row.before == pytest.approx(demo.causes[row.cause].probability)


def test_supposing_unknown_takes_an_answer_away(demo, rulebook):
    found = what_if(demo, parse_changes(rulebook, ["tide-line-seen=unknown"]))
    assert [(item.before, item.after) for item in found.changes] == [("yes", "not known")]
    assert ("tide-line", "present", "") in [(item.finding, item.before, item.after) for item in found.findings]


def test_a_measure_may_be_supposed_in_the_place_of_what_was_measured(demo, rulebook):
    found = what_if(demo, parse_changes(rulebook, ["wall-shape=patch"]))
    assert any(item.finding == "readings-fall-from-base" for item in found.findings)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tide-line-sen=yes", "did you mean 'tide-line-seen'"),
        ("tide-line-seen=yess", "did you mean 'yes'"),
        ("tide-line-seen", "attribute=value"),
        ("wall-thickness-mm=thick", "a number from 50 up to 2000 mm"),
        ("wall-thickness-mm=9000", "a number from 50 up to 2000 mm"),
        ("wall-thickness-mm=nan", "a number from 50 up to 2000 mm"),
        ("tide-line=present", "tide-line-seen"),
    ],
)
def test_a_supposition_that_cannot_be_is_refused_with_what_can(rulebook, text, said):
    with pytest.raises(InvalidInput) as fault:
        parse_changes(rulebook, [text])
    assert said in str(fault.value)


def test_all_faults_of_suppositions_are_told_at_once(rulebook):
    with pytest.raises(InvalidInput) as fault:
        parse_changes(rulebook, ["no-such=1", "storey=attic", "storey=roof-space", "storey=roof-space"])
    assert len(fault.value.problems) == 3
