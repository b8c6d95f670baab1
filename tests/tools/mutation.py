"""How many small faults, put into the code one at a time, the tests find: conditions, belief and wall.

    python tests/tools/mutation.py --count 600 --results mutants.jsonl

By hand, not in the suite: it takes an hour or more, and needs `pip install cosmic-ray`, whose operators make mutants.
A seeded sample of the places where something can be mutated is taken, one mutant at each. Every mutant is a process of
its own that holds the changed module in memory and runs the module's own quick tests until one fails: the checkout is
not touched. Left out are annotations, which are never run, the declarations of dataclasses, bounds that decide only how
much memory or time is spent, and mutants with which the module cannot be imported.
``--results`` keeps each result as a line of JSON and goes on where a former run ended; ``--part 1/2`` does every second
mutant, so that two may run at once. ``--again`` tries the survivors of the results once more.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib
import importlib.abc
import importlib.util
import json
import os
import random
import re
import signal
import sys
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
INFERENCE, MEASURES = "tests/engine/inference", "tests/engine/measures"
CONDITIONS = [f"{INFERENCE}/test_conditions_{name}.py" for name in ("on_array_numbers", "reading", "laws")]
BELIEF = [
    f"{INFERENCE}/test_belief_{name}.py"
    for name in ("limits", "faults", "against_enumeration", "parts", "surprise", "echo_order", "laws")
]
GROWN = [*BELIEF, f"{INFERENCE}/test_belief_growth.py"]
WALL = [
    f"{MEASURES}/test_{name}.py"
    for name in (
        "slightly_raised_walls",
        "which_wall_and_mode_count",
        "modes_taken_together",
        "wall_profile_and_extent",
        "wall_places",
        "wall_limits",
        "coverage_and_next_places",
        "modes_and_depth",
    )
]
SHAPE = [
    f"{MEASURES}/test_{name}.py"
    for name in ("shape_uneven_and_scattered", "wall_shapes", "shape_abstention", "shape_on_made_walls")
]
TESTS = {
    "engine/inference/conditions.py": CONDITIONS,
    **{f"engine/inference/{name}.py": BELIEF for name in ("belief", "noisy")},
    "engine/inference/posterior.py": [f"{INFERENCE}/test_chance_of_misfits.py", *BELIEF],
    **{f"engine/inference/{name}.py": GROWN for name in ("sets", "growth")},
    "engine/measures/wall.py": WALL + SHAPE[1:3],
    "engine/measures/extent.py": WALL,
    "engine/measures/profile.py": WALL,
    "engine/measures/shape.py": SHAPE,
}
"""The mutated modules, each with the tests that hold it, the quickest first."""
SEED = 20261125
EXAMPLES = 15
"""Examples of each property, where the test itself does not say how many."""
SPENDING = re.compile(
    r"@dataclass|(TABLE_BYTES|LAYER_BYTES, SUBSET_BYTES|CHUNK|FEW|FEW_SETS|FEW_FOR_REASONS, FEW_FOR_QUESTIONS|MANY) = "
    r"|.*nbytes|.*Bounded\("
)
"""Lines that say how a class is declared, or how much memory or time is spent, and nothing about what comes out."""
STILLBORN = 10
OUTCOMES = {0: "survived", 1: "killed", STILLBORN: "stillborn"}


def annotated(path):
    """The lines and columns that annotations take up: mutants there are never run."""
    spans = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        for name in ("annotation", "returns"):
            part = getattr(node, name, None)
            if part is not None:
                spans.append(((part.lineno, part.col_offset), (part.end_lineno, part.end_col_offset)))
    return spans


def places(name):
    """Every place of a module where something can be mutated: {(position, what): [(operator, occurrence)]}."""
    from cosmic_ray import plugins
    from cosmic_ray.ast import ast_nodes, get_ast_from_path

    path = ROOT / name
    tree, spans = get_ast_from_path(path), annotated(path)
    found = {}
    for operator_name in plugins.operator_names():
        operator_class = plugins.get_operator(operator_name)
        if operator_class.arguments():
            continue
        operator, what = operator_class(), operator_name.split("/")[1].split("_")[0]
        positions = (position for node in ast_nodes(tree) for position in operator.mutation_positions(node))
        for occurrence, (start, _) in enumerate(positions):
            if not any(low <= tuple(start) < high for low, high in spans):
                found.setdefault((tuple(start), what), []).append((operator_name, occurrence))
    return found


def sample(count, seed):
    """A sample of places over all modules, and one mutant at each: (module, line, operator, occurrence).

    In the order drawn, so that a run that is broken off has tried a sample too; less what is left out.
    """
    dice = random.Random(seed)
    everywhere = [(name, place, made) for name in TESTS for place, made in sorted(places(name).items())]
    chosen = dice.sample(everywhere, min(count, len(everywhere)))
    drawn = [(name, place[0][0], *dice.choice(made)) for name, place, made in chosen]
    return [mutant for mutant in drawn if not left_out(*mutant[:2])]


def left_out(name, line):
    """Whether a line is none whose mutants say anything about the tests."""
    return bool(SPENDING.match((ROOT / name).read_text(encoding="utf-8").splitlines()[line - 1].strip()))


def mutated(name, operator_name, occurrence):
    """The module's text with one mutation."""
    from cosmic_ray import plugins
    from cosmic_ray.mutating import mutate_code

    text = (ROOT / name).read_text(encoding="utf-8")
    return mutate_code(text, plugins.get_operator(operator_name)(), occurrence)


class Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from a text instead of its file."""

    def __init__(self, name, text):
        self.module, self.path, self.text = name[:-3].replace("/", "."), str(ROOT / name), text

    def find_spec(self, fullname, path, target=None):
        if fullname == self.module:
            return importlib.util.spec_from_loader(fullname, self, origin=self.path)
        return None

    def exec_module(self, module):
        exec(compile(self.text, self.path, "exec"), module.__dict__)


class Briefly:
    """Fewer examples of each property, the same every time, and no search for the smallest counterexample."""

    def pytest_sessionstart(self):
        import hypothesis

        phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
        hypothesis.settings.register_profile(
            "briefly", deadline=None, max_examples=EXAMPLES, derandomize=True, database=None, phases=phases
        )
        hypothesis.settings.load_profile("briefly")


def run_tests(name, text=None):
    """Run a module's tests in a process of its own, with the mutant if there is one; its exit code is the outcome."""
    import pytest

    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        os.dup2(nowhere.fileno(), 2)
        sys.path.insert(0, str(ROOT))
        os.chdir(ROOT)
        if text is not None:
            changed = Changed(name, text)
            sys.meta_path.insert(0, changed)
            try:
                importlib.import_module(changed.module)
            except BaseException:
                os._exit(STILLBORN)
        tests = [test for test in TESTS[name] if (ROOT / test).exists()]
        code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", *tests], plugins=[Briefly()])
        os._exit(0 if code == 0 else 1)


def outcome(name, text, seconds):
    """What becomes of a mutant: killed, survived, timed out or stillborn."""
    child = os.fork()
    if child == 0:
        run_tests(name, text)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return OUTCOMES.get(os.waitstatus_to_exitcode(status), "killed")
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "timed out"


def shown(name, text):
    """The lines that the mutation changed, as they became."""
    before, after = (ROOT / name).read_text(encoding="utf-8").splitlines(), text.splitlines()
    pairs = zip(before, after, strict=False)
    return [f"{old.strip()}  ->  {new.strip()}" for old, new in pairs if old != new][:2]


def report(results):
    """The score of each module and of all, and the survivors."""
    kinds = ("killed", "timed out", "survived", "stillborn")
    counts = {name: Counter(r["outcome"] for r in results if r["module"] == name) for name in TESTS}
    counts["all"] = sum(counts.values(), Counter())
    print(f"{'module':34}{''.join(f'{kind:>11}' for kind in kinds)}      score")
    for name, found in counts.items():
        caught = found["killed"] + found["timed out"]
        tried = caught + found["survived"]
        score = f"{100 * caught / tried:.0f} %" if tried else "-"
        print(f"{name:34}{''.join(f'{found[kind]:>11}' for kind in kinds)}{score:>11}")
    for found in results:
        if found["outcome"] == "survived":
            print(f"{found['module']}:{found['line']} {found['operator']} {'; '.join(found['shown'])}")


def main():
    read = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    read.add_argument("--count", type=int, default=600)
    read.add_argument("--seed", type=int, default=SEED)
    read.add_argument("--seconds", type=float, default=120, help="after which a mutant counts as timed out")
    read.add_argument("--part", default="0/1", help="which part of how many, from 0")
    read.add_argument("--results", type=Path, default=None)
    read.add_argument("--again", action="store_true", help="try the survivors of --results once more")
    read.add_argument("--report", action="store_true", help="only report --results")
    chosen = read.parse_args()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for heavy in (
        "hypothesis",
        "numpy",
        "pytest",
        "pydantic",
        "ruamel.yaml",
        "yaml",
        "scipy.stats",
        "cosmic_ray.mutating",
    ):
        with contextlib.suppress(ImportError):
            importlib.import_module(heavy)
    kept = [json.loads(line) for line in chosen.results.read_text().splitlines()] if _there(chosen.results) else []
    known = {(r["module"], r["operator"], r["occurrence"]): r for r in kept}
    part, parts = map(int, chosen.part.split("/"))
    wanted = [] if chosen.report else sample(chosen.count, chosen.seed)[part::parts]
    if chosen.again:
        wanted = [m for m in wanted if known.get((m[0], *m[2:]), {}).get("outcome") in ("survived", None)]
    for name, line, operator_name, occurrence in wanted:
        key = (name, operator_name, occurrence)
        if key in known and not chosen.again:
            continue
        text = mutated(name, operator_name, occurrence)
        result = {"module": name, "line": line, "operator": operator_name, "occurrence": occurrence}
        result |= {"outcome": outcome(name, text, chosen.seconds), "shown": shown(name, text)}
        known[key] = result
        print(result["outcome"], f"{name}:{line}", operator_name, flush=True)
        if chosen.results:
            with chosen.results.open("a", encoding="utf-8") as file:
                file.write(json.dumps(result) + "\n")
    report([result for result in known.values() if not left_out(result["module"], result["line"])])


def _there(path):
    return path is not None and path.exists()


if __name__ == "__main__":
    main()
