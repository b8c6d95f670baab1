"""Every worked case challenged: with the answer that a junior would wrongly give, and with the true one.

The cases are *tuned*: they show that audits, rules and keys agree with each other, not how often an audit is right.
"""

from __future__ import annotations

import pytest

from engine.challenging.weighed import weighed


def juniors(keys):
    """The keys that say what a junior would wrongly say; no cause, where that is that nothing wets the place now."""
    return [key for key in keys if key.junior or key.junior_says]


def held_by_junior(key):
    return (key.junior,) if key.junior else ()


def named_tests(audit):
    """Every test that an audit names: by a finding, a check that was not made, or as telling it from its rival."""
    tests = {step for item in audit.breaks for step, _ in item.tests}
    tests |= {check.step for check in audit.checks if not check.made} | {step for step, _ in audit.known_tests}
    return tests | ({audit.test.step} if audit.test else set())


def test_every_area_says_what_a_junior_would_wrongly_say_and_which_test_would_have_caught_it(keys):
    for key in keys:
        assert key.junior_says, key.area
        assert key.catches_junior or key.parting_steps, key.area
        assert key.breaks_junior or not key.determined, key.area


def test_with_the_true_answer_the_audit_agrees_and_invents_no_objection(case_name, keys, audited):
    for key in keys:
        if not key.determined:
            continue
        audit = audited(case_name, key.area, key.truth)
        assert not audit.breaks
        assert not [rival for rival in audit.rivals if rival.standing != "less-well"]
        assert audit.weakest_point
        if audit.level == "cause":
            assert audit.verdict == "agrees", audit.summary
            assert not [check for check in audit.checks if not check.made]
        else:
            assert audit.verdict == "agrees-in-part", audit.summary


def test_where_nothing_is_determined_the_truth_stays_open_or_what_fits_better_is_named(case_name, keys, audited):
    for key in keys:
        if not key.determined:
            audit = audited(case_name, key.area, key.truth)
            assert audit.verdict != "agrees" or not key.truth
            if audit.verdict == "differs":
                assert audit.rivals[0].standing == "better"
            assert audit.verdict == "differs" or not audit.breaks


def test_what_a_junior_would_say_is_never_agreed_with(case_name, keys, audited):
    for key in juniors(keys):
        audit = audited(case_name, key.area, held_by_junior(key))
        assert audit.verdict in ("differs", "open"), audit.summary
        assert audit.questions


def test_the_findings_that_break_what_a_junior_would_say_are_named(case_name, keys, audited):
    for key in juniors(keys):
        audit = audited(case_name, key.area, held_by_junior(key))
        assert {item.finding for item in audit.breaks} >= set(key.breaks_junior)
        if key.determined:
            assert key.breaks_junior, "the key lists under breaks_junior what breaks the junior's answer"


def test_a_finding_that_breaks_the_junior_is_likelier_with_the_truth_than_with_what_the_junior_holds(
    case_name, keys, audited, reasoner, casebook, known
):
    for key in juniors(keys):
        area = next(area for area in casebook[case_name].areas if area.id == key.area)
        posterior = weighed(reasoner, area, known(case_name, area)).posterior
        for finding in key.breaks_junior:
            wrong = posterior.probability_under(finding, held_by_junior(key))
            assert wrong < posterior.probability_under(finding, key.truth), finding


def test_a_test_that_would_have_caught_the_junior_is_named(case_name, keys, audited):
    for key in juniors(keys):
        named = named_tests(audited(case_name, key.area, held_by_junior(key)))
        assert named & set(key.catches_junior or key.parting_steps), key.area


def test_a_junior_whom_no_finding_breaks_lacks_a_check_or_a_test_that_parts_it_from_a_rival(case_name, keys, audited):
    for key in juniors(keys):
        audit = audited(case_name, key.area, held_by_junior(key))
        unmade = [check for check in audit.checks if not check.made]
        assert audit.breaks or unmade or (audit.nothing_held and audit.rivals and audit.test)


def test_no_question_to_an_author_blames_anyone(case_name, keys, audited, rulebook):
    blaming = [*rulebook.words["blame-words"].words, "wrong", "mistake", "fail", "ignored", "careless", "should have"]
    for key in juniors(keys):
        audit = audited(case_name, key.area, held_by_junior(key))
        for text in (*audit.questions, audit.summary, audit.weakest_point):
            assert not [word for word in blaming if f" {word}" in text.lower()], text


def test_an_irreversible_work_for_what_a_junior_holds_waits(case_name, keys, audited):
    for key in juniors(keys):
        audit = audited(case_name, key.area, held_by_junior(key))
        assert all(work.reasons for work in audit.works if work.irreversible)


@pytest.mark.parametrize("extra", ["flue-salts", "ground-rise"])
def test_holding_more_than_is_shown_agrees_in_part(audited, extra):
    audit = audited("raised-path", "back-room", ("bridged-dpc", extra))
    assert audit.verdict == "agrees-in-part"
    assert audit.rivals[0].causes == ("bridged-dpc",)


def test_holding_less_than_is_shown_agrees_in_part_and_names_what_is_left_out(audited):
    audit = audited("path-outside-and-shower-within", "side-wall", ("bridged-dpc",))
    assert audit.verdict == "agrees-in-part"
    assert [item.cause for item in audit.added] == ["waste-or-seal-leak"]
    assert "fitting-test-wets" in {item.finding for item in audit.breaks}
    assert "fitting-test-wets" in {item.finding for item in audit.unexplained}
