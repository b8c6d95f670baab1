"""A firm's Word template, damaged: refused with a sentence, or opened; and nothing in it that could run is kept."""

from __future__ import annotations

import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import InvalidInput
from tests.fuzzing import byte_damage, damaged_bytes, damaged_text, examples, text_damage, told, watched

docx = pytest.importorskip("docx", reason="python-docx is not installed here")
word_styles = pytest.importorskip("cli.report.word_styles", reason="python-docx is not installed here")


@pytest.fixture(scope="module", autouse=True)
def _counted():
    yield
    told()


def plain():
    stream = io.BytesIO()
    docx.Document().save(stream)
    return stream.getvalue()


PLAIN = plain()


def repacked(changes):
    """The plain template with some parts made by functions of what they were; None for one that is new."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(PLAIN)) as old, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, changes[name](old.read(name)) if name in changes else old.read(name))
        for name in changes.keys() - set(old.namelist()):
            new.writestr(name, changes[name](b""))
    return stream.getvalue()


@examples(40, 3_000)
@given(part=st.integers(0, 40), steps=text_damage)
def test_a_template_with_a_damaged_part_is_refused_or_opened(tmp_path_factory, part, steps):
    names = [name for name in zipfile.ZipFile(io.BytesIO(PLAIN)).namelist() if name.endswith((".xml", ".rels"))]

    def damaged(content):
        return damaged_text(content.decode("utf-8"), steps).encode("utf-8", "surrogatepass")

    path = tmp_path_factory.getbasetemp() / "template.docx"
    path.write_bytes(repacked({names[part % len(names)]: damaged}))
    with watched("word parts"):
        word_styles.opened(path)


@examples(40, 3_000)
@given(steps=byte_damage)
def test_a_template_with_damaged_bytes_is_refused_or_opened(tmp_path_factory, steps):
    path = tmp_path_factory.getbasetemp() / "template.docx"
    path.write_bytes(damaged_bytes(PLAIN, steps))
    with watched("word bytes"):
        word_styles.opened(path)


def test_a_template_with_macros_is_refused(tmp_path):
    path = tmp_path / "macros.docx"
    kind = b"application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"
    enabled = b"application/vnd.ms-word.document.macroEnabled.main+xml"
    path.write_bytes(
        repacked(
            {"[Content_Types].xml": lambda old: old.replace(kind, enabled), "word/vbaProject.bin": lambda old: b"x"}
        )
    )
    with pytest.raises(InvalidInput):
        word_styles.opened(path)


def test_a_part_that_the_template_does_not_refer_to_is_not_carried_along(tmp_path):
    path = tmp_path / "stray.docx"
    path.write_bytes(repacked({"word/vbaProject.bin": lambda old: b"code"}))
    written = io.BytesIO()
    word_styles.opened(path).save(written)
    assert "word/vbaProject.bin" not in zipfile.ZipFile(written).namelist()


def test_a_template_that_would_unpack_to_too_much_or_declares_entities_is_refused(tmp_path):
    for change in (
        lambda old: old.replace(b"</w:styles>", b" " * 200_000_000 + b"</w:styles>"),
        lambda old: b'<!DOCTYPE x [<!ENTITY a "aaaa">]>' + old[old.index(b"<w:styles") :],
    ):
        path = tmp_path / "bomb.docx"
        path.write_bytes(repacked({"word/styles.xml": change}))
        with pytest.raises(InvalidInput):
            word_styles.opened(path)
