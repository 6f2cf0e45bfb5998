"""Rule files with a mistake: refused with file, line and reason."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from notelint.errors import BadRules
from notelint.rulebook.loader import MOST_FILES, built_in_rules, load_built_in, load_folder, load_rule, load_rules
from notelint.rulebook.yamlfile import MOST_BYTES

GOOD = """\
name: my-rule
family: office
ask_before: pour
question: "{place} says {quote}. Which one?"
why: A builder needs to know.
sources: [office standard]
check:
  kind: words
  any: [or equal]
"""

EXAMPLE = """\
examples:
  asks:
    - name: a
      because: b
      sheets:
        S-1:
"""


@pytest.fixture
def rule_file(tmp_path):
    """Writes a rule file and gives its path."""

    def write(text: str | bytes, name: str = "my-rule.yaml") -> Path:
        file = tmp_path / name
        file.write_bytes(text.encode() if isinstance(text, str) else text)
        return file

    return write


def refusal(file: Path) -> str:
    """The one line with which the file is refused, its folder left out."""
    with pytest.raises(BadRules) as caught:
        load_rule(file)
    said = str(caught.value)
    assert "\n" not in said
    return said.replace(f"{file.parent}/", "")


def test_a_good_file_is_a_rule(rule_file):
    """The file's words come out as they went in."""
    rule = load_rule(rule_file(GOOD))
    assert (rule.name, rule.ask_before, rule.check["any"]) == ("my-rule", "pour", ["or equal"])


def changed(old: str, new: str) -> str:
    """The good file with one piece of it changed."""
    assert old in GOOD
    return GOOD.replace(old, new)


MISTAKES = {
    "unknown key": (changed("why: A", "wye: x\nwhy: A"), 5, "no such key"),
    "misspelt key, with a hint": (changed("ask_before:", "ask_befor:"), 3, "did you mean 'ask_before'"),
    "key not given": (changed("why: A builder needs to know.\n", ""), 1, "why: is not given"),
    "unknown stage": (changed("ask_before: pour", "ask_before: someday"), 3, "'pour'"),
    "unknown family": (changed("family: office", "family: roof"), 2, "family"),
    "name in capitals": (changed("name: my-rule", "name: My Rule"), 1, "lower case"),
    "name is not the file's": (changed("name: my-rule", "name: your-rule"), 1, "name them alike"),
    "no source": (changed("[office standard]", "[]"), 6, "at least 1"),
    "edition not in quotes": (changed("[office standard]", "[{document: IRC, edition: 2021}]"), 6, "quotation marks"),
    "unknown check kind": (changed("kind: words", "kind: word"), 8, "did you mean 'words'"),
    "no check kind": (changed("  kind: words\n", ""), 7, "no check is of kind None"),
    "unknown parameter": (changed("  any: [or equal]", "  any: [or equal]\n  al: [x y]"), 10, "no such key"),
    "parameter of the wrong type": (changed("[or equal]", "or equal"), 9, "list"),
    "parameter not given": (changed("  any: [or equal]\n", ""), 7, "any: is not given"),
    "no words to look for": (changed("[or equal]", "[]"), 9, "at least 1"),
    "phrase without a letter": (changed("[or equal]", "['...']"), 9, "no letter"),
    "phrase too long": (changed("[or equal]", f"[{'x' * 121}]"), 9, "at most 120"),
    "unknown blank": (changed("{quote}", "{sheet}"), 4, "'{sheet}' is no blank"),
    "blank with a format": (changed("{quote}", "{quote:>99999999}"), 4, "is no blank"),
    "blank that reaches inside": (changed("{quote}", "{quote.__class__}"), 4, "is no blank"),
    "brace left open": (changed("{quote}", "{quote"), 4, "is no blank"),
    "key twice": (GOOD + "family: office\n", 10, "stands twice"),
    "key twice further in": (GOOD + "  any: [x y]\n", 10, "stands twice"),
    "alias": (changed("[or equal]", "&a [or equal]") + "  unless: *a\n", 10, "aliases"),
    "alias bomb": ("a: &a [x, x, x, x]\nb: &b [*a, *a, *a, *a]\nc: [*b, *b, *b, *b]\n", 2, "aliases"),
    "deep nesting": (changed("[or equal]", "[" * 5000 + "]" * 5000), 9, "deep"),
    "deep nesting of keys": (changed("[or equal]", "{a: " * 5000 + "1" + "}" * 5000), 9, "deep"),
    "key that is a list": (changed("[or equal]", "[or equal]\n  ? [a, b]\n  : c"), 10, "a key must be a word"),
    "quotation mark left open": (changed("why: A", 'why: "A'), 10, "end of stream"),
    "tab for indent": (changed("  kind", "\tkind"), 8, "token"),
    "two documents": (GOOD + "---\nname: other\n", 10, "document"),
    "object of a program": (changed("[or equal]", "!!python/object/apply:os.getcwd []"), 9, "constructor"),
    "character that no text holds": (changed("A builder", "A \x07 builder"), 5, "no text holds"),
    "empty file": ("", 1, "holds no keys"),
    "comment alone": ("# to be written\n", 1, "holds no keys"),
    "list for keys": ("- name: my-rule\n", 1, "holds no keys"),
    "not UTF-8": (GOOD.encode() + b"# caf\xe9\n", 10, "not UTF-8"),
    "UTF-16": (GOOD.encode("utf-16"), 1, "not UTF-8"),
    "example without sheets": (GOOD + "examples:\n  asks:\n    - name: a\n      because: b\n", 12, "sheets: is not given"),
    "unknown key on an example's sheet": (GOOD + EXAMPLE + "          - a note\n          - nte: x\n", 17, "no such key"),
}


@pytest.mark.parametrize(("text", "line", "reason"), MISTAKES.values(), ids=MISTAKES.keys())
def test_a_mistake_is_refused_with_line_and_reason(rule_file, text, line, reason):
    """One line: file, number of the line, why."""
    said = refusal(rule_file(text))
    assert said.startswith(f"my-rule.yaml:{line}: "), said
    assert reason in said


LIMITS = {
    "limit without a value": ("kind: limit\n  device: strap\n  field: spacing_in\n", 7, "at_most or at_least"),
    "limit that is no number": ("kind: limit\n  field: spacing_in\n  at_most: far\n", 10, "number"),
    "limit on an unknown field": ("kind: limit\n  field: colour\n  at_most: 4\n", 9, "spacing_in"),
    "lacking nothing": ("kind: field-lacking\n  device: strap\n", 7, "lacks"),
    "lacking of no device": ("kind: field-lacking\n  lacks: [anchor]\n", 7, "device"),
    "unknown device": ("kind: field-lacking\n  device: glue\n  lacks: [anchor]\n", 9, "device"),
    "nothing to read": ("kind: words\n  any: [x y]\n  on: []\n", 10, "at least 1"),
}


@pytest.mark.parametrize(("check", "line", "reason"), LIMITS.values(), ids=LIMITS.keys())
def test_a_check_that_could_ask_nothing_is_refused(rule_file, check, line, reason):
    """Parameters are tried when the file is read, not when the rule runs."""
    said = refusal(rule_file(GOOD.replace("kind: words\n  any: [or equal]\n", check)))
    assert said.startswith(f"my-rule.yaml:{line}: "), said
    assert reason in said


def test_a_huge_file_is_refused_without_reading_it_all(rule_file):
    """A page of text is enough for a rule."""
    assert "larger than" in refusal(rule_file(GOOD + "#" * MOST_BYTES))


def test_a_file_that_cannot_be_opened_is_refused(tmp_path):
    """A folder with a rule's name, a missing file: one line each."""
    (tmp_path / "folder.yaml").mkdir()
    assert "cannot be read" in refusal(tmp_path / "folder.yaml")
    assert "cannot be read" in refusal(tmp_path / "none.yaml")


def test_a_byte_order_mark_is_no_mistake(rule_file):
    """Some editors write one."""
    assert load_rule(rule_file(b"\xef\xbb\xbf" + GOOD.encode())).name == "my-rule"


def test_words_that_look_like_values_stay_words(rule_file):
    """A roof's pitch, a date and "on" are words; 48 and true are values."""
    text = changed("[or equal]", "[6:12, 2021-01-01, yes]") + "  on: [callout]\n"
    rule = load_rule(rule_file(text))
    assert rule.check["any"] == ["6:12", "2021-01-01", "yes"]
    assert rule.check["on"] == ["callout"]


def test_a_missing_folder_is_named(tmp_path):
    """And so is a file given for a folder."""
    with pytest.raises(BadRules, match="no such folder of rules"):
        load_rules(tmp_path / "none")
    file = tmp_path / "file.yaml"
    file.write_text(GOOD)
    with pytest.raises(BadRules, match="no such folder of rules"):
        load_rules(file)


def test_a_folder_without_rules_is_refused(tmp_path):
    """Most likely the wrong folder was given."""
    (tmp_path / "readme.txt").write_text("nothing here")
    with pytest.raises(BadRules, match="neither a rule file"):
        load_rules(tmp_path)


def test_a_name_in_two_files_is_refused(tmp_path):
    """One of them would win by chance."""
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "my-rule.yaml").write_text(GOOD)
    with pytest.raises(BadRules, match=r"b/my-rule\.yaml:1: rule 'my-rule' stands in two files"):
        load_folder(tmp_path)


def test_too_many_files_are_refused(tmp_path):
    """A folder of thousands is no folder of rules."""
    for i in range(MOST_FILES + 1):
        (tmp_path / f"r{i}.yaml").touch()
    with pytest.raises(BadRules, match="at most"):
        load_folder(tmp_path)


@pytest.mark.skipif(os.name != "posix", reason="links to folders")
def test_a_folder_that_links_to_itself_ends(tmp_path):
    """The rules are read once."""
    (tmp_path / "my-rule.yaml").write_text(GOOD)
    (tmp_path / "again").symlink_to(tmp_path, target_is_directory=True)
    assert [r.name for r in load_folder(tmp_path)] == ["my-rule"]


def test_every_built_in_rule_file_is_a_rule():
    """None is passed over, each stands in the folder of its family."""
    files = {p.stem: p.parent.name for p in built_in_rules().rglob("*.yaml")}
    assert {r.name: r.family for r in load_built_in()} == files
