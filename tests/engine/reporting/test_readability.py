"""Reading ease against published worked examples and hand counts, and the householder's page against its target.

The two worked examples are those of the documentation of the npm package `flesch` 1.0.0 (read); the syllables of the
word list were counted by hand.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from engine.case import read_case
from engine.explaining.subject import Subject
from engine.opinion.reasoner import Reasoner
from engine.opinion.weighing import weigh_with
from engine.reporting.householder import householder, how_plain, running_text
from engine.reporting.material import Material, Place
from engine.reporting.readability import TARGET, readability, reading_ease, syllables

CASEBOOK = Path(__file__).resolve().parents[3] / "casebook"
WORDS_ON_A_PAGE = 560
"""What one A4 page holds as it is printed; the longest pages of the casebook were looked at in print."""
JARGON = (
    "dpc", "hygroscopic", "capacitance", "gravimetric", "decibans", "dB", "RH", "relative humidity", "dew point",
    "psychrometric", "interstitial", "thermal bridge", "capillary", "lateral", "hygrometer", "substrate", "noisy",
    "efflorescence", "posterior", "prior", "likelihood", "weep hole", "soffit", "U-value", "desiccant",
)  # fmt: skip


def test_the_formula_gives_the_published_worked_examples():
    assert reading_ease(words=6, sentences=1, syllables=6) == pytest.approx(116.145)
    assert reading_ease(words=13, sentences=1, syllables=26) == pytest.approx(24.44)


def test_the_counts_of_the_published_sentence_are_its_counts():
    counted = readability(["The cat sat on the mat."])
    assert (counted.words, counted.sentences, counted.syllables) == (6, 1, 6)


def test_the_counts_of_a_passage_are_those_made_by_hand():
    counted = readability(
        [
            "Soil, paving, render or plaster is letting ground water get round the damp-proof layer at the bottom of"
            " the wall. The signs point to this very strongly.",
            "The wood is a little damp. It should be checked again.",
        ]
    )
    assert (counted.words, counted.sentences, counted.syllables) == (20 + 7 + 6 + 5, 4, 28 + 9 + 7 + 6)


HAND_COUNTED = {
    "the": 1, "platypus": 3, "seemingly": 3, "hybrid": 2, "mammal": 2, "creature": 2, "water": 2, "moisture": 2,
    "condensation": 4, "salts": 1, "table": 2, "paved": 1, "wanted": 2, "leaking": 2, "gutters": 2, "ceiling": 2,
    "chimney": 2, "ventilation": 4, "radiator": 4, "material": 4, "house": 1, "houses": 2, "pipes": 1, "drying": 2,
    "heated": 2, "sources": 2, "causes": 2, "people": 2, "being": 2, "insulation": 4, "outside": 2, "usually": 4,
    "brushes": 2, "measured": 2, "looked": 1, "settled": 2, "little": 2, "joists": 1, "surveyor": 3, "engineer": 3,
    "emergency": 4, "electrician": 4, "asbestos": 3, "evidence": 3, "likely": 2, "because": 2, "2026": 1,
}  # fmt: skip


@pytest.mark.parametrize(("word", "count"), HAND_COUNTED.items())
def test_syllables_are_counted_as_by_hand(word, count):
    assert syllables(word) == count


def test_harder_words_and_longer_sentences_read_less_easily():
    easy = readability(["The wall is wet. The rain gets in."])
    longer = readability(["The wall is wet and the rain gets in."])
    harder = readability(["The elevation is saturated. Precipitation penetrates."])
    assert easy.ease > longer.ease > harder.ease


def test_a_text_without_words_has_no_reading_ease():
    with pytest.raises(ValueError, match="no reading ease"):
        readability(["…", ""])


@pytest.fixture(scope="module")
def pages(book):
    """The householder's page of every tuned case, without the explanations that it does not need."""
    reasoner = Reasoner(book, "python")
    made = {}
    for path in sorted([*CASEBOOK.glob("demo/*.yaml"), *CASEBOOK.glob("regression/*.yaml")]):
        case = read_case(path, vocabulary=book)
        opinion = weigh_with(reasoner, case, folder=path.parent)
        places = []
        for found in opinion.areas:
            area = next(one for one in case.areas if one.id == found.id)
            places.append(Place(Subject(reasoner, case, area, path.parent, None, None, found)))
        made[path.stem] = householder(Material(case, opinion, reasoner, path.parent, tuple(places)))
    return made


def running(page):
    return "\n".join(text for section in page.walk() for text in running_text(section))


def test_the_page_of_every_tuned_case_reads_as_plain_english(pages):
    hard = {name: how_plain(page).ease for name, page in pages.items() if how_plain(page).ease < TARGET}
    assert len(pages) > 60
    assert not hard


def test_the_page_of_every_tuned_case_is_one_page_long(pages):
    long = {name: how_plain(page).words for name, page in pages.items() if how_plain(page).words > WORDS_ON_A_PAGE}
    assert not long


def test_no_term_of_the_trade_stands_on_a_page_unexplained(pages, book):
    from engine.reporting.wordlists import pairs

    terms = pairs(book, "householder-terms")
    for name, page in pages.items():
        text = running(page)
        for word in JARGON:
            if re.search(rf"\b{re.escape(word)}\b", text):
                assert f"{word}: {terms.get(word)}" in text, (name, word)
        for term, meaning in terms.items():
            alone = re.sub(
                "|".join(re.escape(other) for other in terms if term in other and other != term) or "(?!)", "", text
            )
            if re.search(rf"\b{re.escape(term)}(?:s|es)?\b", alone, re.IGNORECASE):
                assert f"{term}: {meaning}." in text, (name, term)


def test_no_page_blames_anyone(pages, book):
    for name, page in pages.items():
        text = running(page).lower()
        assert not [phrase for phrase in book.words["blame-words"].words if phrase in text], name
