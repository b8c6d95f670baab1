"""Input of the kinds that crash or hang durable_rules 2.0.28 comes to the right answer or to a clear error.

Each runs in a process of its own, so that a crash would fail one test and not end them all. Found by
experiment with 2.0.28 (segmentation faults, a division trap and endless loops; see the comment at each).
"""

from __future__ import annotations

import subprocess
import sys
import textwrap

import pytest

pytest.importorskip("engine.inference.durable", reason="durable_rules is not installed here")

PREAMBLE = """
from engine.inference.chaining import Chain, ChainConclusion, ChainRule, CycleError
from engine.inference.conditions import parse_condition
from engine.inference.facts import Fact

def rule(name, when, finding=None):
    concluded = (ChainConclusion("finding", finding, "present"),) if finding else ()
    return ChainRule(name, parse_condition(when), concluded)

def chain(*rules):
    return Chain(rules, "durable")

def fired(chain, **facts):
    return [firing.rule for firing in chain.run({name: Fact(name, value) for name, value in facts.items()}).firings]

def refused(run, *arguments, **facts):
    try:
        run(*arguments, **facts)
    except ValueError as error:
        return str(error)
    raise AssertionError("not refused")
"""

TRIGGERS = {
    # 1: ending a session in which no rule fired frees memory that was never set
    "a session in which no rule fires": """
        c = chain(rule("r", {"a": "yes"}))
        for _ in range(500):
            assert fired(c, a="no", b="yes") == []
        assert fired(c, a="yes") == ["r"]
    """,
    # 2: an empty batch of facts leaves the session's place unset
    "no facts at all": """
        c = chain(rule("r", {"a": "yes"}), rule("s", {"a": "unknown"}))
        for _ in range(500):
            assert fired(c) == ["s"]
    """,
    # 3: a number that its JSON reader cannot read, in the first fact of a batch
    "numbers with bare exponents, first": """
        for value in (1e-05, 1e16, 1e22, 5e-324, -1e300):
            c = chain(rule("at", {"a": {"at_least": value}}), rule("below", {"a": {"below": value}}))
            assert fired(c, a=value) == ["at"]
            assert fired(c, a=value * 0.999999 - 1e-300 if value > 0 else value * 1.1) == ["below"]
    """,
    "numbers that are not finite": """
        c = chain(rule("r", {"a": {"below": 3}}))
        for value in (float("inf"), float("-inf"), float("nan")):
            assert refused(fired, c, a=value) == f"a: a number is finite, not {value!r}"
        assert fired(c, a=2.0) == ["r"]
    """,
    "more properties than one fact can have": """
        names = [f"a{i:03}" for i in range(400)]
        c = chain(*(rule(name, {name: "yes"}) for name in names))
        assert fired(c, **{name: "yes" for name in names}) == names
    """,
    "words longer than it can hold": """
        long = "x" * 17_000_000
        c = chain(rule("long", {"a": long}), rule("short", {"a": "x"}))
        assert fired(c, a=long) == ["long"]
        assert fired(c, a=long + "y") == []
        assert fired(c, a="x" * 65_537) == []
    """,
    "values that nest": """
        nested = {}
        for _ in range(300):
            nested = {"a": nested}
        c = chain(rule("r", {"a": "known"}))
        assert refused(fired, c, a=nested).startswith("a: a value is a word or a number, not {")
    """,
    # 3b: the same in a later fact, which silently loses that fact and all after it
    "numbers with bare exponents, later": """
        names = [f"a{i:03}" for i in range(100)]
        c = chain(*(rule(name, {name: {"at_least": 1e-05}}) for name in names))
        assert fired(c, **{name: (1e22, 1e-05, 0.5)[i % 3] for i, name in enumerate(names)}) == names
    """,
    # 4: a comparison of two facts that comes out false reads beyond its end
    "comparisons that fail": """
        c = chain(rule("r", {"a": {"at_least": 1, "below": 2}, "b": {"at_least": 1}}), rule("s", {"a": {"below": 1}}))
        for _ in range(500):
            assert fired(c, a=5.0, b=0.0) == []
            assert fired(c, a=1.5, b=1.0) == ["r"]
    """,
    "comparisons between facts": """
        assert "a bound is a number or the name of a parameter" in refused(rule, "r", {"a": {"at_least": {"b": "a"}}})
    """,
    # 5: a whole-number division by nought in a rule
    "arithmetic in a rule": """
        for test in ({"$div": [1, 0]}, {"at_least": {"$div": {"a": 0}}}):
            assert refused(rule, "r", {"a": test}).startswith("a: a")
    """,
    # 6: 256 rules that share one test
    "rules that share one test": """
        for n in (255, 256, 257, 600):
            names = [f"r{i:03}" for i in range(n)]
            assert fired(chain(*(rule(name, {"a": "yes"}) for name in names)), a="yes") == names
    """,
    # 7: 512 distinct tests make every fact fail, more make loading endless
    "distinct tests": """
        for n in (500, 511, 512, 513, 1500):
            names = [f"r{i:04}" for i in range(n)]
            c = chain(*(rule(name, {f"a{i}": "yes", f"b{i}": {"at_least": i}}) for i, name in enumerate(names)))
            facts = {f"a{i}": "yes" for i in range(n)} | {f"b{i}": float(i) for i in range(n)}
            assert fired(c, **facts) == names
            assert fired(c, a3="yes", b3=3.0, a4="yes", b4=3.5) == ["r0003"]
    """,
    "distinct tests of one attribute": """
        names = [f"r{i:04}" for i in range(1000)]
        c = chain(*(rule(name, {"a": {"at_least": i}}) for i, name in enumerate(names)))
        assert fired(c, a=999.0) == names
        assert fired(c, a=4.5) == names[:5]
    """,
    "patterns of one rule": """
        names = [f"a{i:02}" for i in range(60)]
        c = chain(rule("r", {name: "yes" for name in names}))
        assert fired(c, **{name: "yes" for name in names}) == ["r"]
        assert fired(c, **{name: "yes" for name in names[:-1]}) == []
    """,
    # 8: the 1,025th open session
    "sessions without end": """
        c = chain(rule("r", {"a": "yes"}), rule("s", {"b": "yes"}))
        for i in range(3000):
            assert fired(c, a="yes" if i % 2 else "no") == (["r"] if i % 2 else [])
    """,
    # 9: a rule that asks only for the absence of something matches the engine's own messages for ever
    "rules of negations alone": """
        c = chain(rule("r", {"not": {"a": "yes"}}), rule("s", {"a": "unknown"}), rule("t", {"not": {"a": "known"}}))
        assert fired(c) == ["s", "t"]
        assert fired(c, a="no") == ["r"]
        assert fired(c, a="yes") == []
    """,
    # 10: taking back the facts of a rule that has fired
    "facts that are no longer so": """
        names = [f"a{i:02}" for i in range(16)]
        c = chain(rule("r", {name: "yes" for name in names}, "x"), rule("s", {"x": "present"}))
        whole = {name: "yes" for name in names}
        for _ in range(200):
            assert fired(c, **whole) == ["r", "s"]
            assert fired(c, **whole | {"a07": "no"}) == []
    """,
    # 11: rules that conclude what each other tests run for ever
    "rules in a cycle": """
        told = refused(chain, rule("r", {"x": "present"}, "y"), rule("s", {"y": "present"}, "x"))
        assert told.endswith("in a cycle: r tests x, which s concludes; s tests y, which r concludes")
    """,
    "a rule that concludes what it tests": """
        told = refused(chain, rule("r", {"any": [{"a": "yes"}, {"x": "present"}]}, "x"))
        assert told.endswith("in a cycle: r tests x, which r concludes")
    """,
}


@pytest.mark.parametrize("trigger", TRIGGERS)
def test_what_crashes_the_library_does_not_crash_the_chainer(trigger: str) -> None:
    program = PREAMBLE + textwrap.dedent(TRIGGERS[trigger])
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=120, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_two_thousand_sessions_leave_memory_flat() -> None:
    pytest.importorskip("resource", reason="the size of a process is read from POSIX's getrusage")
    program = PREAMBLE + textwrap.dedent("""
        import resource

        rules = [rule(f"r{i:03}", {f"a{i}": "yes", f"b{i % 7}": {"at_least": i}}, f"x{i}") for i in range(60)]
        rules += [rule(f"s{i:03}", {f"x{i}": "present", f"a{i + 1}": "yes"}) for i in range(50)]
        c = chain(*rules)
        facts = {f"a{i}": "yes" for i in range(60)} | {f"b{i}": 30.0 for i in range(7)}
        for number in range(2200):
            assert fired(c, **facts)
            if number == 200:
                before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        print(before, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
    """)
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr
    before, after = map(int, done.stdout.split())
    assert after <= before * 1.1, f"grown from {before} to {after}"


def test_many_rulesets_leave_memory_flat() -> None:
    pytest.importorskip("resource", reason="the size of a process is read from POSIX's getrusage")
    program = PREAMBLE + textwrap.dedent("""
        import resource

        rules = [rule(f"r{i:03}", {f"a{i}": "yes"}) for i in range(100)]
        for number in range(400):
            assert fired(chain(*rules), a7="yes") == ["r007"]
            if number == 100:
                before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        print(before, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
    """)
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr
    before, after = map(int, done.stdout.split())
    assert after <= before * 1.1, f"grown from {before} to {after}"
