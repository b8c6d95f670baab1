"""The pool of a sweep: order, few in flight, and workers that end."""

from __future__ import annotations

import importlib
import json
import sys

import pytest

from engine.sweeping.items import Item
from engine.sweeping.pool import IN_FLIGHT, Settings, in_order, usable_cores

# Worker processes import what they run by name, so this module must have one that they know too.
caseloads = importlib.import_module("tests.caseloads")


def numbered(count):
    return [Item("stream", number) for number in range(1, count + 1)]


@pytest.mark.parametrize("workers", [1, 2])
def test_results_come_in_the_order_of_the_items_however_long_each_takes(workers):
    found = list(in_order(numbered(12), Settings(), workers, weigh_one=caseloads.slow_at_first))
    assert [json.loads(text)["of"] for _, text, _ in found] == list(range(1, 13))
    assert [item.number for item, _, _ in found] == list(range(1, 13))


def test_no_more_items_are_taken_than_may_be_in_flight():
    taken = []

    def counted():
        for item in numbered(200):
            taken.append(item)
            yield item

    stream = in_order(counted(), Settings(), 2, weigh_one=caseloads.slow_at_first)
    for done in range(1, 40):
        next(stream)
        assert len(taken) <= done + 2 * IN_FLIGHT
    stream.close()
    assert len(taken) < 60


def test_what_is_known_is_not_done_again_and_keeps_its_place():
    known = {2: "two", 3: "three", 9: "nine"}
    found = list(
        in_order(numbered(10), Settings(), 2, lambda item: known.get(item.number), weigh_one=caseloads.slow_at_first)
    )
    assert [text for _, text, was_known in found if was_known] == ["two", "three", "nine"]
    assert [item.number for item, _, _ in found] == list(range(1, 11))


def test_a_case_on_which_its_process_ends_is_a_fault_and_all_others_are_done():
    found = [(item.number, json.loads(text)) for item, text, _ in in_order(
        numbered(20), Settings(), 2, weigh_one=caseloads.dies_on_seven
    )]  # fmt: skip
    assert [number for number, _ in found] == list(range(1, 21))
    assert [number for number, result in found if "of" not in result] == [7]
    (fault,) = dict(found)[7]["faults"]
    assert fault["sentence"].startswith("stream:7: found a case over which the process that weighed it ended")


def test_at_least_one_core_is_usable():
    assert usable_cores() >= 1
    assert sys.platform != "win32" or usable_cores() <= 61
