"""Scores opinions on made-up cases against their truth, beside the network's own ceiling on the same draws."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise, product

from engine.case.models import Area, Case, Fact
from engine.inference.belief import Observation
from engine.opinion.weighing import gather
from engine.rulebook import Rulebook
from engine.scoring import TENTHS, MurphyParts, brier, murphy_parts, reliability_table
from engine.synthesis.making import CaseMaker, Made

SAID = (
    "This shows that rules, measures and network agree with one another; the cases are made by the program, and "
    "nothing here is accuracy in the field."
)
OPINION, FOUND, SEEN, CEILING = (
    "opinion",
    "network, findings settled, as they are",
    "network, findings settled, as drawn",
    "network, all findings, as drawn (ceiling)",
)
"""Whose forecasts: the engine's from the case; the network's on the findings that the case settles, in the states that
they have there, all certain and true; on the same in the states that were drawn, before the physical part decided; and
on every drawn finding, which is the ceiling."""

CONFUSED_AT = 0.5
"""Belief from which a cause that is not at work is a confusion, where one that is stays below it."""

NEED_A_TEST = (
    ("cavity-bridged", "rainwater-goods"),
    ("cavity-bridged", "rain-through-wall"),
    ("cold-spot-condensation", "humid-air-condensation"),
    ("humid-air-condensation", "interstitial-condensation"),
    ("bridged-dpc", "slab-no-membrane"),
)
"""Pairs that asking, looking and meters leave confused, and a test parts (common practice, no source)."""


@dataclass
class CaseScores:
    """Forecasts of every cause of every case, what was so, and the confusions that remain."""

    forecasts: dict[str, list[float]] = field(
        default_factory=lambda: {name: [] for name in (OPINION, FOUND, SEEN, CEILING)}
    )
    true: list[bool] = field(default_factory=list)
    causes: list[str] = field(default_factory=list)
    led: Counter[str] = field(default_factory=Counter)
    confused: Counter[tuple[str, str]] = field(default_factory=Counter)
    before_tests: Counter[tuple[str, str]] = field(default_factory=Counter)
    cases: int = 0

    def add(self, made: Made, beliefs: Mapping[str, Mapping[str, float]]) -> None:
        """Count one case, believed so by each of the three."""
        self.cases += 1
        for cause in sorted(made.priors):
            self.true.append(cause in made.causes)
            self.causes.append(cause)
            for name, believed in beliefs.items():
                self.forecasts[name].append(min(max(believed[cause], 0.0), 1.0))
        self.led.update(name for name, believed in beliefs.items() if _leads(believed, made.causes))

    def parts(self, name: str) -> MurphyParts:
        """The Brier score of one of the three in its parts, by tenths."""
        return murphy_parts(self.forecasts[name], self.true, TENTHS)

    def text(self) -> str:
        """Everything as tables of plain text, the sentence that says what it shows first."""
        return "\n".join([f"{self.cases} made-up cases, {len(self.true)} forecasts. {SAID}", "", *self._lines()])

    def _lines(self) -> Iterator[str]:
        yield "| | truth leads | Brier | reliability | resolution | uncertainty | within tenths |"
        yield "| --- | --- | --- | --- | --- | --- | --- |"
        for name in self.forecasts:
            p = self.parts(name)
            numbers = (p.brier, p.reliability, p.resolution, p.uncertainty, p.within)
            cells = (f"{self.led[name] / self.cases:.1%}", *(f"{number:.4f}" for number in numbers))
            yield f"| {name} | {' | '.join(cells)} |"
        yield ""
        yield "| believed | opinion: forecasts | mean | came true | ceiling: forecasts | mean | came true |"
        yield "| --- | --- | --- | --- | --- | --- | --- |"
        tables = [{b.low: b for b in reliability_table(self.forecasts[n], self.true)} for n in (OPINION, CEILING)]
        for low, high in pairwise(TENTHS):
            cells = [f"{low:.1f} to {high:.1f}"]
            for table in tables:
                b = table.get(low)
                cells += [str(b.count), f"{b.mean_forecast:.3f}", f"{b.share_true:.3f}"] if b else ["0", "", ""]
            yield f"| {' | '.join(cells)} |"
        yield ""
        yield "| cause | at work | Brier, opinion | Brier, ceiling |"
        yield "| --- | --- | --- | --- |"
        for cause in sorted(set(self.causes)):
            mine = [n for n, name in enumerate(self.causes) if name == cause]
            so = [self.true[n] for n in mine]
            own, top = (brier([self.forecasts[name][n] for n in mine], so) for name in (OPINION, CEILING))
            yield f"| {cause} | {sum(so)} | {own:.4f} | {top:.4f} |"
        yield ""
        before, after = sum(self.before_tests.values()), sum(self.confused.values())
        yield f"Confusions, a true cause below one half while another stands above it: {before} before any test"
        yield f"(asking, looking, wall readings, air and timber), {after} on all evidence."
        yield ""
        yield "| pair | before any test | on all evidence | left so by common practice |"
        yield "| --- | --- | --- | --- |"
        for pair, count in self.before_tests.most_common(12):
            needs = "yes" if pair in NEED_A_TEST else ""
            yield f"| {pair[0]}, {pair[1]} | {count} | {self.confused[pair]} | {needs} |"


def _leads(beliefs: Mapping[str, float], truth: frozenset[str]) -> bool:
    """Whether the most believed cause is at work, or where none is, no cause is more likely than not."""
    first = min(beliefs, key=lambda cause: (-beliefs[cause], cause))
    return first in truth if truth else beliefs[first] < CONFUSED_AT


def made_cases(maker: CaseMaker, first_seed: int, count: int) -> Iterator[Made]:
    """The cases of consecutive seeds; every other one was logged for some weeks."""
    for seed in range(first_seed, first_seed + count):
        yield maker.make((seed, 0), log_folder="logged" if seed % 2 else None)


def score_cases(maker: CaseMaker, cases: Iterable[Made], *, before_tests: bool = False) -> CaseScores:
    """Every case weighed on all its evidence, and scored; if wished also on what was known before any test."""
    scores, reasoner = CaseScores(), maker.reasoner
    for made in cases:
        evidence = reasoner.suppose(maker.known(made).facts)
        opinion = reasoner.believe(evidence).posterior.marginals
        found, seen = (
            reasoner.network.weigh(
                made.priors, [Observation(o.finding, states[o.finding], mask=o.mask) for o in evidence.observations]
            ).marginals
            for states in (made.wanted, made.drawn)
        )
        scores.add(made, {OPINION: opinion, FOUND: found, SEEN: seen, CEILING: made.ceiling(reasoner)})
        scores.confused.update(_confusions(made, opinion))
        if before_tests:
            plain = reasoner.suppose(gather(reasoner, *_before_tests(made, maker.rulebook)).facts)
            scores.before_tests.update(_confusions(made, reasoner.believe(plain).posterior.marginals))
    return scores


def _confusions(made: Made, beliefs: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    """Pairs of a true cause below one half and another above it, in alphabetical order."""
    short = [cause for cause in made.causes if beliefs[cause] < CONFUSED_AT]
    over = [cause for cause, belief in beliefs.items() if cause not in made.causes and belief >= CONFUSED_AT]
    return ((min(pair), max(pair)) for pair in product(short, over))


def _before_tests(made: Made, rulebook: Rulebook) -> tuple[Case, Area]:
    """The case and its area without samples, loggers, deep pins and every answer that takes more than a look."""
    questions = rulebook.questions

    def kept(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
        return tuple(f for f in facts if questions[f.attribute].effort in ("ask", "look"))

    case, area = made.case, made.area
    (wall,) = area.surfaces
    wall = wall.model_copy(update={"readings": tuple(r for r in wall.readings if r.instrument != "deep-pins")})
    parts = {"facts": kept(area.facts), "surfaces": (wall,), "samples": (), "loggers": ()}
    area = area.model_copy(update=parts)
    dwelling = case.dwelling.model_copy(update={"facts": kept(case.dwelling.facts)})
    return case.model_copy(update={"dwelling": dwelling, "areas": (area,)}), area
