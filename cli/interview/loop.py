"""The session itself: a question, a line, what it means, onto the disk, the next question."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from cli.exits import DONE, FAILURE, PARTLY
from cli.interview.lines import Lines
from cli.interview.understanding import Command, Misunderstood, choices, sureness_of, understand
from cli.views import interview as view
from cli.views.page import Page
from cli.views.phrases import list_words, sentence_case
from engine.case.store import NotSaved
from engine.case.writing import one_line
from engine.errors import InvalidInput
from engine.inquiry.agenda import Next
from engine.inquiry.applying import Standing
from engine.inquiry.session import Answer, Kept, Session
from engine.rulebook.models import Question

SHIFT_TO_SAY = 0.15
"""A belief that an answer moves this far is said at once; and only then is it asked how sure an answer is."""


class Go(Enum):
    """What follows a line: the same prompt again, the next question, or the end."""

    STAY = "stay"
    ON = "on"
    LEAVE = "leave"


@dataclass
class Interview:
    """One session at a terminal or over a pipe. ``resume`` is the command that goes on with it."""

    session: Session
    lines: Lines
    page: Page
    resume: str
    asked: list[str] = field(default_factory=list)
    forced: list[str] = field(default_factory=list)
    numbers: dict[str, int] = field(default_factory=dict)
    current: str = ""
    whys: int = 0
    phase: str = "weighing"
    cautions: set[str] = field(default_factory=set)

    def run(self) -> int:
        """Ask until nothing is worth asking, the person stops, or the lines end; the exit code."""
        for remark in self.session.store.remarks:
            self.page.line(f"{remark}.")
        self.session.store.remarks.clear()
        self._say_standing_cautions()
        while True:
            try:
                if self.forced:
                    name, found = self.forced.pop(), None
                else:
                    found = self.session.next()
                    name = found.question or ""
                    self.phase = found.phase
                if found is not None and found.question is None:
                    if self._next_area(found):
                        continue
                    return DONE
                go = self._ask(name)
            except NotSaved as fault:
                return self._not_saved(fault)
            if go is Go.LEAVE:
                self.say_where_to_go_on()
                return DONE
            if go is None:
                self.say_where_to_go_on()
                return PARTLY

    def _ask(self, name: str) -> Go | None:
        """Put one question until it is answered or left; None at the end of the lines."""
        question = self.session.rulebook.questions[name]
        recorded = self.session.recorded(name)
        number = self.numbers.setdefault(name, len(self.numbers) + 1)
        self.current, self.whys = name, 0
        view.show_question(number, question, None if recorded is None else self.in_words(recorded), self.page)
        while True:
            line = self.lines.next()
            if line is None:
                return None
            if not line.strip():
                if recorded is not None:
                    return Go.ON
                self.page.line("Type an answer, unknown, later, or help.", indent=3)
                continue
            meant = understand(line, question, self.session.agenda.appraiser.answers.bounds[name])
            if isinstance(meant, Answer):
                if self.record(question, meant, recorded):
                    return Go.ON
            elif isinstance(meant, Misunderstood):
                self.page.line(meant.message, indent=3)
            elif (go := self._command(question, meant)) is not Go.STAY:
                return go

    def _command(self, question: Question, command: Command) -> Go | None:
        from cli.interview.commands import perform

        return perform(self, question, command)

    def record(self, question: Question, answer: Answer, recorded: object | None, reason: str = "") -> bool:
        """Save an answer and say what it moved; False, with the faults said, where the case would not be sound."""
        before, firm = self.session.state, self.session.firm
        if self.lines.typed and answer.sureness == "certain" and answer.value not in ("unknown", "not-applicable"):
            answer = self._how_sure(question, answer)
        if answer.note is None and isinstance(recorded, dict) and "note" in recorded:
            answer = Answer(answer.value, answer.sureness, str(recorded["note"]))
        why = reason or ("changed in the session" if recorded is not None else "asked in the session")
        try:
            kept = self.session.answer(question.id, answer, why)
        except InvalidInput as faults:
            for problem in faults.problems:
                self.page.line(problem.sentence(), indent=3)
            return False
        if question.id not in self.asked:
            self.asked.append(question.id)
        for remark in self.session.store.remarks:
            self.page.line(f"{remark}.", indent=3)
        self.session.store.remarks.clear()
        view.show_shifts(self.session.shifts(before, self.session.state), self.page, least=SHIFT_TO_SAY, most=2)
        self._say_what_is_kept(kept)
        if self.session.firm and not firm and self.session.depth == "full":
            view.show_determined(self.session.opinion(), self.page)
        told = answer.value not in ("no", "unknown", "not-applicable")
        if told or question.safety:
            self.say_new_cautions(whole=told and question.safety)
        return True

    def _how_sure(self, question: Question, answer: Answer) -> Answer:
        """Ask how sure an answer is where that would change the picture; Enter means certain."""
        sure = self.session.what_if(question.id, answer)
        unsure = {s.cause: s.after for s in self.session.what_if(question.id, Answer(answer.value, "not-sure"))}
        if max(abs(shift.after - unsure[shift.cause]) for shift in sure) < SHIFT_TO_SAY:
            return answer
        line = self.lines.next("   how sure? (Enter = certain, or: fairly sure, not sure) > ")
        said = sureness_of(line or "") or "certain"
        return Answer(answer.value, said, answer.note)

    def _say_what_is_kept(self, kept: Kept) -> None:
        if kept.marked:
            self.page.line(
                f"Kept, but not weighed, as the question no longer applies: {list_words(kept.marked)}.", indent=3
            )
        if kept.back:
            self.page.line(f"Weighed again, as the question applies again: {list_words(kept.back)}.", indent=3)

    def _say_standing_cautions(self) -> None:
        """The cautions that hold before anything is asked, by title; so far gives them in full."""
        held = self.session.cautions(whole=True)
        self.cautions |= {caution.id for caution in held}
        if held:
            self.page.line(f"Cautions that hold: {list_words([caution.title for caution in held])}.")

    def say_new_cautions(self, *, whole: bool) -> None:
        """Say the cautions that the answers call for and that were not said yet."""
        for caution in self.session.cautions(whole=whole):
            if caution.id not in self.cautions:
                self.cautions.add(caution.id)
                self.page.line(
                    f"CAUTION: {sentence_case(caution.title)}. {caution.text} Defer to: {caution.defer_to}.", indent=3
                )

    def in_words(self, fact: object) -> str:
        """A recorded fact as it reads: value, sureness, note."""
        data = dict(fact) if isinstance(fact, dict) else {}
        question = self.session.rulebook.questions[data["attribute"]]
        value = dict(choices(question)).get(str(data["value"]), str(data["value"]).replace("-", " "))
        if isinstance(data["value"], (int, float)) and question.unit:
            value = f"{data['value']:g} {question.unit}"
        parts = [value]
        if "sureness" in data and data["sureness"] != "certain":
            parts.append(str(data["sureness"]).replace("-", " "))
        return ", ".join(parts) + (f"; {data['note']}" if "note" in data else "")

    def _next_area(self, found: Next) -> bool:
        """Close one area and turn to the next that has something open; False when all are done."""
        session = self.session
        if waiting := session.take_up():
            self.page.line()
            self.page.line(f"Now what was put off: {list_words(waiting)}.")
            return True
        if put_off := [name for name in sorted(session.later) if session.standings()[name] is Standing.OPEN]:
            self.page.line()
            self.page.line(f"Put off until next time: {list_words(put_off)}.")
        left = [session.rulebook.title(name) for name in session.open_points()]
        view.show_end(found, session.opinion(), session.rulebook, left, self.page)
        areas = [area.id for area in session.case.areas]
        for area in areas[areas.index(session.area_id) + 1 :]:
            session.turn_to(area)
            if session.next().question is not None:
                self.page.line()
                self.page.line(f"On to {session.area.title}.")
                return True
        self.say_where_to_go_on()
        return False

    def say_where_to_go_on(self) -> None:
        """Where the answers are, how to go on, and what makes the list for the next visit."""
        self.page.line()
        self.page.line(f"Everything answered is saved in {self.session.store.path.name}.")
        self.page.line(f"Go on with: {self.resume}")
        self.page.line(f"For the next visit: {self.resume} --site-list")

    def _not_saved(self, fault: NotSaved) -> int:
        """Say that an answer could not be saved, with everything that must be kept by hand."""
        self.page.line()
        self.page.line("NOT SAVED:")
        faults = fault.fault
        if isinstance(faults, InvalidInput):
            for problem in faults.problems:
                self.page.line(problem.sentence(), indent=3)
        else:
            self.page.line(f"{self.session.store.path}: {faults.strerror or faults}", indent=3)
        self.page.line("What was answered last, to be kept (a line for the case file):")
        for item in fault.change.items:
            self.page.line(f"- {one_line(item)}", indent=3)
        if self.asked:
            self.page.line(f"Answered and saved before it: {list_words(self.asked)}.")
        self.page.line(f"Make room or make the folder writable, then go on with: {self.resume}")
        return FAILURE
