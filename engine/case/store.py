"""A case file held open by one session: every change is on the disk before the next, and none is lost half-way."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from types import TracebackType

from engine.case.changing import Change
from engine.case.journal import append, append_put_off, entries, entry_of, text_digest
from engine.case.locking import Lock
from engine.case.migrating import FORMAT, back_up, brought_up_to_date, format_of, is_old
from engine.case.models import Case
from engine.case.reading import parse_case
from engine.case.saving import save_new, save_over
from engine.case.vocabulary import Vocabulary
from engine.case.writing import is_json, json_text, write_case
from engine.documents import Document, read_document, read_text
from engine.errors import InvalidInput


class NotSaved(Exception):
    """A change that is not on the disk; ``change`` is what would be lost, ``fault`` says why."""

    def __init__(self, change: Change, fault: OSError | InvalidInput) -> None:
        self.change, self.fault = change, fault
        super().__init__(str(fault))


class Store:
    """An open case. ``case`` and ``document`` are what the file holds; ``remarks`` say what a person should be told.

    Opening takes the lock, makes good a change that only reached the journal, and reads the case. `Busy` where
    another session has it, InvalidInput for a case with faults, OSError where the folder cannot be written to.
    """

    def __init__(self, path: Path, vocabulary: Vocabulary, author: str, clock: Callable[[], datetime]) -> None:
        self.path, self.vocabulary, self.author, self._clock = path.resolve(), vocabulary, author, clock
        self.remarks: list[str] = []
        self._comments_gone = False
        self._lock = Lock(self.path, author, clock())
        try:
            self._load()
            self._make_good()
        except BaseException:
            self._lock.release()
            raise

    @classmethod
    def begin(cls, path: Path, text: str, vocabulary: Vocabulary, author: str, clock: Callable[[], datetime]) -> Store:
        """A new case with this text; FileExistsError where there is one already."""
        save_new(path, text)
        return cls(path, vocabulary, author, clock)

    def __enter__(self) -> Store:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        self._lock.release()

    def _load(self) -> None:
        self.text = read_text(self.path)
        written = read_document(self.path, text=self.text)
        self._old_format = format_of(written) if is_old(written) else None
        self.document: Document = brought_up_to_date(written)
        self.case: Case = parse_case(self.document, self.vocabulary)

    def _make_good(self) -> None:
        last = next(iter(reversed(entries(self.path))), None)
        digest = text_digest(self.text)
        if last is None or last.after == digest:
            return
        if last.before == digest:
            text, document, case = self._with(last.change)
            self._back_up()
            save_over(self.path, text, self.text)
            self.text, self.document, self.case = text, document, case
            self.remarks.append(
                f"The last answer ({last.attribute}) had only reached the journal; it is in the case now"
            )
        else:
            self.remarks.append("The case was changed outside a session since then; it counts as it is now")

    def check(self, change: Change) -> None:
        """InvalidInput with every fault that the case would have with the change; nothing is written."""
        self._with(change)

    def put(self, change: Change, reason: str) -> None:
        """Make a change: into the journal, then into the file.

        InvalidInput where the case would not be sound with it: then nothing is written. NotSaved where it could not
        be written; the session's case stays as it was.
        """
        text, document, case = self._with(change)
        entry = entry_of(
            change,
            self.document.data,
            when=self._clock(),
            author=self.author,
            reason=reason,
            before=text_digest(self.text),
            after=text_digest(text),
        )
        try:
            self._back_up()
            append(self.path, entry)
            save_over(self.path, text, self.text)
        except (OSError, InvalidInput) as fault:
            raise NotSaved(change, fault) from fault
        self.text, self.document, self.case = text, document, case

    def put_off(self, area: str, names: Iterable[str]) -> None:
        """Note in the journal which questions of an area are put off; the case stays. OSError where it cannot be."""
        append_put_off(self.path, area, names, when=self._clock(), author=self.author)

    def _back_up(self) -> None:
        """Before a file of an older format is written over for the first time, keep it as it was."""
        if self._old_format is not None:
            backup = back_up(self.path, self._old_format)
            before, now = f"was in format {self._old_format}", f"is in format {FORMAT} now"
            self.remarks.append(f"The case {before} and {now}; {backup.name} holds it as it was.")
            self._old_format = None

    def _with(self, change: Change) -> tuple[str, Document, Case]:
        """Text, document and case with a change; the text keeps comments and layout where that is sound."""
        data = change.applied(self.document.data)
        meant = parse_case(Document(str(self.path), data, self.document.lines), self.vocabulary)
        if not is_json(self.path):
            text = change.written(self.text)
            if text is not None:
                try:
                    document = read_document(self.path, text=text)
                except InvalidInput:
                    document = None
                if document is not None and document.data == data:
                    return text, document, meant
        text = self._rewritten(meant, data)
        return text, read_document(self.path, text=text), meant

    def _rewritten(self, case: Case, data: object) -> str:
        if is_json(self.path):
            return json_text(data)
        if "#" in self.text and not self._comments_gone:
            self._comments_gone = True
            self.remarks.append("The case had to be written anew for this answer; comments in it were not kept.")
        return write_case(case)
