"""An office's own rules: laid over the rulebook, switched off, changed, and run from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from notelint.errors import BadRules
from notelint.rulebook.__main__ import main, rules_named, troubles
from notelint.rulebook.checks.general import holds
from notelint.rulebook.examples import case_of
from notelint.rulebook.loader import load_built_in, load_folder, load_rules
from notelint.rulebook.run import run_rules
from notelint.rulebook.schema import Example

OFFICE = Path(__file__).resolve().parents[2] / "fixtures" / "office"
RULE = """\
name: NAME
family: office
ask_before: pour
question: "{place} says {quote}. Which one?"
why: A builder needs to know.
sources: [office standard]
check: CHECK
"""


@pytest.fixture
def office(tmp_path):
    """Writes office.yaml and gives its folder."""

    def write(settings: str) -> Path:
        (tmp_path / "office.yaml").write_text(settings)
        return tmp_path

    return write


@pytest.mark.parametrize("rule", load_folder(OFFICE), ids=lambda r: r.name)
def test_the_worked_examples_come_out_as_their_files_say(rule):
    """Each rule of the worked example runs its own examples."""
    assert list(troubles(rule)) == []


def test_an_office_adds_rules_switches_off_and_changes():
    """The worked example's folder over the rulebook."""
    built_in = {r.name: r for r in load_built_in()}
    rules = {r.name: r for r in load_rules(OFFICE)}
    assert set(rules) - set(built_in) == {"hold-down-names-anchor", "no-approved-equal", "anchor-bolts-at-four-feet"}
    assert set(built_in) - set(rules) == {"mark-not-used", "stacking-not-stated"}
    assert (built_in["design-basis"].ask_before, rules["design-basis"].ask_before) == ("bid", "framing")
    assert rules["design-basis"].question == built_in["design-basis"].question
    assert "two repair details" in rules["cut-plate-not-covered"].question


def test_the_built_in_rules_are_not_changed_by_an_office():
    """Loaded once, laid over anew each time."""
    before = load_rules()
    load_rules(OFFICE)
    assert load_rules() == before


def test_an_office_folder_may_hold_settings_alone(office):
    """No rule of its own, one switched off."""
    assert "mark-not-used" not in {r.name for r in load_rules(office("switch_off: [mark-not-used]\n"))}


SETTINGS = {
    "unknown rule switched off": ("switch_off:\n  - mark-not-used\n  - mark-not-usd\n", 3, "did you mean 'mark-not-used'"),
    "unknown rule changed": ("change:\n  no-rule: {ask_before: bid}\n", 2, "no rule is named 'no-rule'"),
    "unknown stage": ("change:\n  design-basis:\n    ask_before: never\n", 3, "'bid'"),
    "change of what cannot be changed": ("change:\n  design-basis: {name: x}\n", 2, "no such key"),
    "unknown blank in a wording": ("change:\n  design-basis:\n    question: Which {thing}?\n", 3, "no blank"),
    "unknown key": ("switch_of: [design-basis]\n", 1, "did you mean 'switch_off'"),
    "empty": ("", 1, "is empty"),
    "list": ("- design-basis\n", 1, "holds no keys"),
}


@pytest.mark.parametrize(("text", "line", "reason"), SETTINGS.values(), ids=SETTINGS.keys())
def test_a_mistake_in_the_settings_is_refused_with_line_and_reason(office, text, line, reason):
    """One line: file, number of the line, why."""
    with pytest.raises(BadRules) as caught:
        load_rules(office(text))
    assert f"office.yaml:{line}: " in str(caught.value)
    assert reason in str(caught.value)


def test_a_rule_with_a_built_in_name_is_refused(tmp_path):
    """A built-in rule is changed in office.yaml, not hidden by a file."""
    (tmp_path / "design-basis.yaml").write_text(RULE.replace("NAME", "design-basis").replace("CHECK", "{kind: words, any: [x y]}"))
    with pytest.raises(BadRules, match="is built in"):
        load_rules(tmp_path)


def asked(tmp_path: Path, check: str, *notes: str) -> list[str]:
    """What an office rule with this check asks about on a sheet with these notes."""
    (tmp_path / "my-rule.yaml").write_text(RULE.replace("NAME", "my-rule").replace("CHECK", check))
    findings, failed = run_rules(load_folder(tmp_path), case_of(Example(name="x", because="x", sheets={"S-1": list(notes)})))
    assert not failed
    return [f.subject for f in findings]


def test_words_are_whole_words_in_any_case(tmp_path):
    """ "or equal" is not in "or equally"; a plural is the same word."""
    check = "{kind: words, any: [or equal]}"
    assert asked(tmp_path, check, "Hardware as shown OR  EQUAL.", "Straps or equally strong plates.") == ["or equal"]


def test_words_answered_elsewhere_ask_nothing(tmp_path):
    """One note of the set is the answer to all."""
    check = "{kind: words, any: [or equal], answered_by: [engineer approves equals]}"
    assert asked(tmp_path, check, "Straps as shown or equal.", "The engineer approves equals.") == []


def test_words_lacking_asks_once_where_the_matter_is_there(tmp_path):
    """Asked where the set has a crawl space and says nothing of its vents."""
    check = "{kind: words-lacking, any: [crawl space vent], needs_any: [crawl space]}"
    assert len(asked(tmp_path, check, "Crawl space 24 in. high.", "Crawl space access 18 x 24.")) == 1
    assert asked(tmp_path, check, "Slab on grade.") == []
    assert asked(tmp_path, check, "Crawl space vents at 6 ft.") == []


def test_a_limit_shows_both_values(tmp_path):
    """Arithmetic with units."""
    (tmp_path / "my-rule.yaml").write_text(
        RULE.replace("NAME", "my-rule").replace("CHECK", "{kind: limit, device: anchor bolt, field: spacing_in, at_most: 48}")
    )
    sheets = {"S-1": ['Sill anchor bolts 1/2" dia. at 72" o.c., 7" embedment.']}
    findings, _ = run_rules(load_folder(tmp_path), case_of(Example(name="x", because="x", sheets=sheets)))
    assert [f.arithmetic for f in findings] == [("spacing 72 in against 48 in (the office's limit)",)]


@pytest.mark.parametrize("phrase", ["(a+)+$", ".*", "[a-z]{2}", "a|b"])
def test_phrases_are_no_patterns(phrase):
    """What would be a pattern elsewhere is looked for by its letters, and ends on a long text."""
    assert holds("a" * 200_000 + "!", [phrase]) is None


def test_a_rule_that_fails_is_named_and_the_others_run(monkeypatch):
    """One mistake in a check must not cost the other questions."""
    from notelint.rulebook import run

    rules = load_folder(OFFICE)
    real = run.check_for

    def broken(kind, parameters):
        if kind == "limit":
            raise ZeroDivisionError("on purpose")
        return real(kind, parameters)

    monkeypatch.setattr(run, "check_for", broken)
    example = next(r for r in rules if r.name == "no-approved-equal").examples.asks[0]
    findings, failed = run_rules(rules, case_of(example))
    assert [f.rule for f in findings] == ["no-approved-equal"]
    assert failed == ("rule anchor-bolts-at-four-feet could not run (ZeroDivisionError: on purpose)",)


# ---------------------------------------------------------------- python -m notelint.rulebook


def test_the_command_runs_a_folder(capsys):
    """Every rule of the folder, with the number of its examples."""
    assert main([str(OFFICE)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 3
    assert all(line.endswith("as its file says") for line in lines)


def test_the_command_says_which_example_is_wrong(tmp_path, capsys):
    """Exit code 1 and the example's name."""
    text = (OFFICE / "no-approved-equal.yaml").read_text().replace("MARKS SHOWN OR EQUAL.", "MARKS SHOWN.")
    file = tmp_path / "no-approved-equal.yaml"
    file.write_text(text)
    assert main([str(file)]) == 1
    assert "asks, 'hardware or equal': nothing asked" in capsys.readouterr().out


def test_the_command_wants_an_example_of_each_side(tmp_path):
    """A rule nobody tried is not known to work."""
    (tmp_path / "my-rule.yaml").write_text(RULE.replace("NAME", "my-rule").replace("CHECK", "{kind: words, any: [or equal]}"))
    assert "0 examples that ask" in next(troubles(load_folder(tmp_path)[0]))


def test_the_command_takes_a_built_in_name():
    """Name, file or folder."""
    assert [r.name for r in rules_named("fastener-length")] == ["fastener-length"]


def test_the_command_refuses_an_unknown_name(capsys):
    """Exit code 2, with the nearest name."""
    assert main(["fastener-lenth"]) == 2
    assert "did you mean 'fastener-length'?" in capsys.readouterr().err
