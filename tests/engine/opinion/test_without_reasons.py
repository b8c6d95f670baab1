"""An opinion without reasons, for caseloads that are only sorted: all else is as in the whole one."""

from __future__ import annotations

from dataclasses import replace


def test_without_reasons_all_else_is_the_same(casebook, weighed, reasoner, case_name):
    case = casebook[case_name]
    whole = weighed(reasoner, case)
    lean = weighed(reasoner, case, reasons=False)
    for ours, area in zip(lean.areas, whole.areas, strict=True):
        causes = tuple(replace(cause, reasons=()) for cause in area.causes)
        assert ours == replace(area, causes=causes, carried_by=())


def test_the_whole_opinions_have_reasons_and_facts_that_carry_them(casebook, weighed, reasoner):
    areas = [area for case in casebook.values() for area in weighed(reasoner, case).areas]
    assert all(any(cause.reasons for cause in area.causes) for area in areas if area.determined)
    assert any(area.carried_by for area in areas)
