"""Findings in a terminal: one sentence for what is alike, and no flood of the same."""

import pytest

from seatfield.cli.say import say_findings
from seatfield.model import Finding, Severity


@pytest.fixture
def said(capsys):
    """Say findings and give back what was printed."""

    def say(*findings):
        say_findings(findings)
        return capsys.readouterr().out

    return say


def finding(subject, message, advice=""):
    return Finding("cable.loose", Severity.FIX, subject, message, advice=advice)


def test_one_sentence_with_other_numbers_is_told_once_with_its_subjects(said):
    out = said(
        *(finding(f"M+{n:03}", f"The run to M+{n:03} lies {n}.3 m loose.", "Move it.") for n in (0, 30, 90))
    )
    assert out.count("loose.") == 1
    assert out.count("Move it.") == 1
    assert "Likewise: M+030, M+090." in out


def test_of_many_different_sentences_of_one_kind_three_are_told_and_the_rest_named(said):
    words = ("one", "two", "three", "four", "five")
    out = said(*(finding(word, f"It is {'x' * n} here.") for n, word in enumerate(words, 1)))
    assert out.count(" here.") == 3
    assert "Also four, five: in full with --explain cable.loose" in out
