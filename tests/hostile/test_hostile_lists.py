"""Hostile rule files, settings, facts files and hardware lists: refused with file, line and reason, in fair time."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from notelint.errors import BadHardwareList, BadOptions, BadRules
from notelint.language import load_hardware_list
from notelint.loadpath.facts_file import load_facts
from notelint.rulebook import load_rules

ALIASES = "a: &a [x,x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{','.join([f'*{chr(97 + n)}'] * 10)}]\n" for n in range(9)
)
RULES = {
    "aliases that multiply": ALIASES.encode(),
    "alias of itself": b"a: &a [*a]\n",
    "merge of itself": b"a: &a {<<: *a}\n",
    "larger than a rule can be": b"name: " + b"x" * 5_000_000,
    "binary": bytes(range(256)) * 100,
    "zeros": bytes(100_000),
    "lists without end": b"a: " + b"[" * 100_000,
    "keys without end": b"".join(b"%s? " % (b" " * n) for n in range(500)),
    "a hundred thousand keys": b"".join(b"k%d: 1\n" % n for n in range(40_000)),
    "keys that are lists": b"? [a, b]\n: c\n",
    "a key twice": b"name: a\nname: b\n",
    "asks for a program": b"name: !!python/object/apply:os.system ['touch owned']\n",
    "asks for a class": b"!!python/object:notelint.model.Sheet {}\n",
    "many documents": b"---\na: 1\n" * 1000,
    "empty": b"",
    "a number": b"42\n",
    "infinity": b"name: .inf\nask_before: .nan\n",
    "a number of a million digits": b"name: " + b"9" * 300_000 + b"\n",
    "escapes": b'name: "\\x1b[2J\\u202e"\n',
    "tabs": b"\tname:\n\t\t- x\n",
    "half a letter": b"name: \xc3\n",
    "half a pair": b'name: "\\ud800"\n',
}


@pytest.mark.parametrize("name", RULES)
@pytest.mark.parametrize("file", ["rule.yaml", "office.yaml"])
def test_a_hostile_rule_file_is_refused(name: str, file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With its name, and nothing in it is run."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / file).write_bytes(RULES[name])
    with pytest.raises(BadRules) as raised:
        load_rules(folder)
    assert file in str(raised.value)
    assert len(str(raised.value)) < 1_000
    assert not (tmp_path / "owned").exists()


def test_too_many_rule_files_are_refused(tmp_path: Path) -> None:
    for number in range(501):
        (tmp_path / f"r{number}.yaml").touch()
    with pytest.raises(BadRules, match="at most 500"):
        load_rules(tmp_path)


def test_a_pipe_among_the_rules_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "office.yaml")
    os.mkfifo(tmp_path / "rule.yaml")
    with pytest.raises(BadRules, match="neither a rule file"):
        load_rules(tmp_path)


LISTS = {
    "binary": bytes(range(256)) * 100,
    "larger than a list can be": b"mark,device\n" + b"HD-1,hold-down\n" * 300_000,
    "more lines than a list can have": b"mark\n" + b"".join(b"HD-%d\n" % n for n in range(30_000)),
    "a cell of a megabyte": b"mark,device\nHD-1," + b"x" * 1_000_000 + b"\n",
    "a quote never closed": b'mark,device\n"HD-1,hold-down\n' * 100,
    "ten thousand columns": b"mark," + b",".join(b"c%d" % n for n in range(10_000)) + b"\n",
    "a column twice": b"mark,mark\na,b\n",
    "a capacity that is none": b"mark,uplift_lb\nHD-1,inf\n",
    "a capacity of no number": b"mark,uplift_lb\nHD-1,nan\n",
    "a capacity below zero": b"mark,uplift_lb\nHD-1,-5\n",
    "empty": b"",
    "line ends alone": b"\n" * 1000,
    "zeros": bytes(50_000),
    "a web page": b"<html><body>not logged in</body></html>",
}


@pytest.mark.parametrize("name", LISTS)
def test_a_hostile_hardware_list_is_refused(name: str, tmp_path: Path) -> None:
    """With its name and one reason."""
    file = tmp_path / "list.csv"
    file.write_bytes(LISTS[name])
    with pytest.raises(BadHardwareList) as raised:
        load_hardware_list(file)
    assert "list.csv" in str(raised.value)
    assert len(str(raised.value)) < 1_000


def test_a_pipe_or_folder_for_a_hardware_list_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "list.csv")
    for place in (tmp_path / "list.csv", tmp_path):
        with pytest.raises(BadHardwareList, match="is no file"):
            load_hardware_list(place)


FACTS = {
    "binary": bytes(range(256)),
    "larger than facts can be": b"storeys: 2\n" * 5_000,
    "unknown": b"owner: me\n",
    "no number": b"storeys: many\n",
    "aliases": b"storeys: &a [*a]\n",
    "a program": b"storeys: !!python/object/apply:os.system ['id']\n",
    "infinite wind": b"wind_mph: .inf\n",
    "deep": b"roof: " + b"[" * 5_000 + b"\n",
}


@pytest.mark.parametrize("name", FACTS)
def test_a_hostile_facts_file_is_refused_or_taken_as_words(name: str, tmp_path: Path) -> None:
    """Never run, never endless."""
    file = tmp_path / "a.facts.yaml"
    file.write_bytes(FACTS[name])
    try:
        facts = load_facts(file)
    except BadOptions as error:
        assert "a.facts.yaml" in str(error)
        assert len(str(error)) < 1_000
    else:
        assert name in ("infinite wind", "deep")
        assert facts.storeys is None
