"""What the process that hands out the work holds: a few bytes for each case, whatever the cases weigh."""

from __future__ import annotations

import json
import tracemalloc

from engine.sweeping.done import Done
from engine.sweeping.items import Item
from engine.sweeping.pool import Settings, in_order
from engine.sweeping.summary import Summary
from engine.sweeping.tables import WRITERS
from engine.sweeping.working import key_of_text, sweep_line
from tests.caseloads import small_case

MOST = 400
"""Bytes for each case: a short digest of its address, and when going on one of its key."""
RESULT = json.loads(sweep_line(json.dumps(small_case(1))))


def swept(folder, count, *, resume):
    """A sweep without weighing; the peak of traced memory [bytes]."""

    def one(item, settings):
        return json.dumps({**RESULT, "key": key_of_text(item.text)})

    items = (Item("cases.jsonl", number, f"case {number} {'x' * 1_000}") for number in range(1, count + 1))
    output, summary = folder / "out.csv", Summary()
    tracemalloc.start()
    with Done(output, RESULT["rulebook"], resume=resume) as done:
        writer = WRITERS[".csv"](output)
        for item, text, known in in_order(items, Settings(), 1, done.result_for, one):
            result = {"file": item.name, "line": item.number, **json.loads(text), "dates": {"days_since_report": 1}}
            result["dwelling"] = {"title": "House", "address": f"{item.number} Invented Road"}
            if not known:
                done.add(result, text)
            writer.write(result)
            summary.add(result, known=known)
        writer.close()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert (summary.cases, summary.known_before) == (count, count if resume else 0)
    return peak


def test_memory_grows_by_a_few_bytes_for_each_case(tmp_path):
    few = swept(tmp_path, 200, resume=False)
    assert swept(tmp_path, 1_200, resume=False) - few < 1_000 * MOST
    assert swept(tmp_path, 1_200, resume=True) - few < 1_000 * MOST
