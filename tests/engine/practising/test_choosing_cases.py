"""Which case comes next: of the practice material only, easiest first, each area once, of the topic and level asked."""

from __future__ import annotations

import pytest

from engine.errors import InvalidInput
from engine.opinion.casebook import own_casebook
from engine.practising.choosing import LEVELS, material, named, opened, pick
from engine.practising.exercise import Source, given, level, topics


@pytest.fixture(scope="module")
def cases(rulebook):
    return list(material(rulebook))


def test_the_frozen_set_is_never_practised_on(cases, rulebook):
    frozen = {path.stem for path in (own_casebook() / "check").glob("*.yaml")}
    assert frozen
    assert not frozen & {one.source.name for one in cases}
    path = next((own_casebook() / "check").glob("*.yaml"))
    with pytest.raises(InvalidInput, match="held back"):
        opened(rulebook, named(str(path)), None)
    with pytest.raises(InvalidInput, match="no such file or case"):
        named(path.stem)


def test_every_area_of_the_other_sets_comes_up_once_easiest_first(cases, rulebook, trainees):
    frozen = {path.stem for path in (own_casebook() / "check").glob("*.yaml")}
    wanted = {(one.source.name, one.area.id) for one in trainees.all_worked(rulebook) if one.source.name not in frozen}
    order = [(one.source.name, one.area.id) for one in cases]
    assert len(set(order)) == len(order)
    assert set(order) == wanted
    levels = [level(one.key) for one in cases]
    assert levels == sorted(levels)
    assert set(levels) == set(LEVELS)


def test_what_was_done_is_not_picked_again_and_when_all_are_done_nothing_is(cases, rulebook):
    done = set()
    for one in cases[:2]:
        found = pick(rulebook, done)
        assert (found.source.name, found.area.id) == (one.source.name, one.area.id)
        done.add((one.source.name, one.area.id))
    assert pick(rulebook, {(one.source.name, one.area.id) for one in cases}) is None


def test_topic_and_level_are_kept_to(rulebook):
    for topic, hard in (("salts", 1), ("rain", 4)):
        found = pick(rulebook, set(), topic=topic, hard=hard)
        assert level(found.key) == hard
        assert topic in topics(found.key, rulebook)


def test_a_topic_does_not_give_the_answer_away(cases, rulebook):
    """In some cases of a topic it is the trap's topic and not that of the truth."""
    traps = 0
    for one in cases:
        of_truth = {rulebook.causes[cause].topic for cause in one.key.truth}
        traps += bool(set(topics(one.key, rulebook)) - of_truth)
    assert traps > 10


def test_the_brief_gives_what_anybody_sees_at_the_door(cases, rulebook):
    allowed = set(rulebook.words["practice-brief"].words)
    assert allowed <= rulebook.questions.keys()
    for one in cases:
        assert {piece[1] for piece in given(one, rulebook)} <= allowed


def test_an_unknown_name_is_answered_with_the_nearest(rulebook):
    with pytest.raises(InvalidInput, match="raised-path"):
        named("raised-pth")
    with pytest.raises(InvalidInput, match="back-room"):
        opened(rulebook, Source("casebook", "raised-path"), "back-rom")


def test_a_new_case_is_the_same_by_its_seed_and_is_called_synthetic(rulebook):
    one, again = (opened(rulebook, Source("new", "5"), None) for _ in range(2))
    assert one == again
    assert one.invented
    assert one.key.grade == "synthetic"
