"""The practice session itself: a line, what it asks for, the answer on the disk and on the page, the next line."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cli.exits import DONE, PARTLY
from cli.interview.lines import Lines
from cli.practising.understanding import (
    MOST_CHOICES,
    Asked,
    Choose,
    Command,
    Misunderstood,
    causes_stated,
    questions_named,
    understand,
)
from cli.views import practice as view
from cli.views.page import Page
from engine.practising.asking import Request
from engine.practising.measuring import NotMeasured
from engine.practising.session import Practice


@dataclass
class Rehearsal:
    """One exercise at a terminal or over a pipe. ``resume`` is the command that goes on with it."""

    practice: Practice
    lines: Lines
    page: Page
    resume: str
    listed: tuple[str, ...] = ()

    def run(self) -> int:
        """Ask and answer until it is concluded (0), left (0) or the lines end (5)."""
        from cli.practising.concluding import BACK, conclude

        if not self.practice.concluding:
            self._brief()
        while True:
            done = None if self.practice.concluding else self._evidence()
            if done is None:
                done = conclude(self)
            if done is None:
                return DONE
            if done != BACK:
                return self._left(done)

    def _brief(self) -> None:
        practice = self.practice
        view.show_brief(practice.exercise, practice.rulebook, practice.begun.number, self.page)
        if practice.entries:
            self.page.line()
            self.page.line(f"You have asked for {len(practice.asked)} things so far; seen shows them.")

    def _evidence(self) -> int | None:
        """Take lines until somebody concludes (None) or goes (the exit code)."""
        while True:
            self.page.line()
            line = self.lines.next(f"[{self.practice.spent.words()}] > ")
            if line is None:
                return PARTLY
            if not line.strip():
                self.page.line("Ask for something, conclude, leave, or type help.", indent=3)
                continue
            meant = understand(line, self.practice.rulebook, self.listed)
            if isinstance(meant, Misunderstood):
                self.page.line(meant.message, indent=3)
            elif isinstance(meant, Choose):
                self.listed = meant.questions
                view.show_choices(meant.questions, self.practice.rulebook, self.page, meant.more)
            elif isinstance(meant, Asked):
                for request in meant.requests:
                    self._ask(request, line)
            elif meant.name == "conclude":
                return None
            elif meant.name == "leave":
                return DONE
            else:
                self._command(meant)

    def _ask(self, request: Request, line: str) -> None:
        if request.kind == "press" and not request.surface:
            request = replace(request, surface=self.practice.last_pressed or "")
        try:
            found = self.practice.ask(request, line.strip())
        except NotMeasured as fault:
            self.page.line(str(fault), indent=3)
            return
        view.show_reply(found, self.page)

    def _command(self, command: Command) -> None:
        practice, page = self.practice, self.page
        if command.name == "catalogue":
            self.listed = view.show_catalogue(practice.rulebook, command.rest, page) or self.listed
        elif command.name == "seen":
            view.show_seen(practice.entries, practice.spent, page)
        elif command.name == "brief":
            view.show_brief(practice.exercise, practice.rulebook, practice.begun.number, page)
        elif command.name == "help":
            view.show_help(page)
        elif command.name == "how":
            self._how(command.rest)
        elif command.name == "view":
            self._view(command.rest)

    def _how(self, rest: str) -> None:
        found = questions_named(rest, self.practice.rulebook)
        if rest.isdecimal() and len(rest) < 4 and 1 <= int(rest) <= len(self.listed):
            found = (self.listed[int(rest) - 1],)
        if len(found) == 1:
            view.show_how(self.practice.rulebook.questions[found[0]], self.page)
        elif found:
            self.listed = found[:MOST_CHOICES]
            more = len(found) - MOST_CHOICES
            view.show_choices(self.listed, self.practice.rulebook, self.page, more)
        else:
            self.page.line("how NAME says how one looks for something in the catalogue.", indent=3)

    def _view(self, rest: str) -> None:
        stated = causes_stated(rest, self.practice.rulebook, "view alone")
        if isinstance(stated, Misunderstood):
            self.page.line(stated.message, indent=3)
            if not rest:
                titles = {cause.id: cause.title for cause in self.practice.rulebook.causes.values()}
                view.show_records(titles, self.page)
            return
        self.practice.view(stated, rest.strip())
        self.page.line(f"Noted: {view.stated_words(stated)}.", indent=3)

    def _left(self, code: int) -> int:
        self.say_where_to_go_on()
        return code

    def say_where_to_go_on(self) -> None:
        """That everything is saved, and how to go on."""
        self.page.line()
        self.page.line("Everything is saved.")
        self.page.line(f"Go on with: {self.resume}")
