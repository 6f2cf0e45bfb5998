"""README and DEVELOPERS.md say what the program does."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
import typer
import yaml
from typer.testing import CliRunner

from notelint.cli import app
from notelint.rulebook.loader import load_built_in, load_folder, load_rule
from notelint.rulebook.schema import BLANKS
from notelint.writers.readme import main as write_readme
from notelint.writers.readme import with_table
from notelint.writers.rulebook import rules_table

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
GROUP = typer.main.get_command(app)
COMMANDS = sorted(GROUP.commands)  # type: ignore[attr-defined]


def test_the_readmes_table_of_rules_is_up_to_date():
    """python -m notelint.writers.readme writes it."""
    assert with_table(README, rules_table()) == README


def test_every_rule_stands_in_the_readme_once():
    """Name, in the first column."""
    rows = re.findall(r"^\| `([a-z-]+)` \|", README, re.M)
    assert sorted(r for r in rows if r in {x.name for x in load_built_in()}) == sorted(r.name for r in load_built_in())


def test_the_readme_writer_writes_and_checks(tmp_path):
    """--check tells an old table from a new one and writes nothing."""
    file = tmp_path / "README.md"
    file.write_text("# x\n<!-- rules: here -->\nold\n<!-- end of rules -->\nrest\n")
    assert write_readme([str(file), "--check"]) == 1
    assert "old" in file.read_text()
    assert write_readme([str(file)]) == 0
    assert file.read_text() == f"# x\n<!-- rules: here -->\n{rules_table()}\n<!-- end of rules -->\nrest\n"
    assert write_readme([str(file), "--check"]) == 0


@pytest.mark.parametrize(
    "text", ["# x\n", "<!-- rules: a -->\n", "<!-- end of rules -->\n<!-- rules: a -->\n"], ids=["none", "no end", "turned round"]
)
def test_the_readme_writer_wants_both_markers(tmp_path, capsys, text):
    """Exit code 2 and one line; the file stays as it was."""
    file = tmp_path / "README.md"
    file.write_text(text)
    assert write_readme([str(file)]) == 2
    assert "markers" in capsys.readouterr().err
    assert file.read_text() == text


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_has_help_and_stands_in_the_readme(command):
    """Help text, help for each option and argument, a line in the README."""
    made = GROUP.commands[command]  # type: ignore[attr-defined]
    assert made.help
    assert [p.name for p in made.params if not getattr(p, "help", None)] == []
    assert CliRunner().invoke(app, [command, "--help"]).exit_code == 0
    assert re.search(rf"^notelint {command}\b", README, re.M)


def shell_lines(text: str) -> list[list[str]]:
    """Words of every `notelint ...` line in the shell blocks, comments left out."""
    blocks = re.findall(r"```sh\n(.*?)```", text, re.S)
    lines = [line for block in blocks for line in block.splitlines() if line.startswith("notelint ")]
    return [shlex.split(line, comments=True) for line in lines]


@pytest.mark.parametrize("words", shell_lines(README), ids=" ".join)
def test_a_line_of_the_readme_uses_options_that_exist(words):
    """Command and options are known."""
    made = GROUP.commands[words[1]]  # type: ignore[attr-defined]
    known = {o for p in made.params for o in (*p.opts, *p.secondary_opts)}
    assert {w for w in words if w.startswith("--")} <= known


def test_the_rules_the_developers_page_shows_can_be_loaded(tmp_path):
    """Every whole rule in a yaml block is a rule."""
    blocks = [yaml.safe_load(b.replace(", on: ", ", 'on': ")) for b in re.findall(r"```yaml\n(.*?)```", DEVELOPERS, re.S)]
    texts = re.findall(r"```yaml\n(.*?)```", DEVELOPERS, re.S)
    shown = [(data, text) for data, text in zip(blocks, texts, strict=True) if "check" in data]
    assert shown
    for data, text in shown:
        file = tmp_path / f"{data['name']}.yaml"
        file.write_text(text)
        assert load_rule(file).name == data["name"]


def test_the_developers_page_lists_every_blank_of_a_wording():
    """In the order of the schema."""
    listed = re.search(r"^Blanks of a question's wording: (.*?)\. A", DEVELOPERS, re.M | re.S)
    assert listed
    assert tuple(re.findall(r"`\{(\w+)\}`", listed.group(1))) == BLANKS


def test_the_developers_page_names_every_file_of_the_worked_example():
    """fixtures/office, each rule by name."""
    assert "fixtures/office" in DEVELOPERS
    assert [r.name for r in load_folder(ROOT / "fixtures" / "office") if r.name not in DEVELOPERS] == []


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_links_to_files_lead_somewhere(text):
    """Each relative link is a file of the project."""
    links = [m.split("#")[0] for m in re.findall(r"\]\(([^)]+)\)", text) if not m.startswith(("http", "#"))]
    assert [link for link in links if not (ROOT / link).exists()] == []


@pytest.mark.parametrize("module", sorted(set(re.findall(r"python -m (notelint[\w.]*)", README + DEVELOPERS))))
def test_a_module_the_pages_run_exists(module):
    """A module, or a package with a __main__."""
    path = ROOT / Path(*module.split("."))
    assert path.with_suffix(".py").is_file() or (path / "__main__.py").is_file()
