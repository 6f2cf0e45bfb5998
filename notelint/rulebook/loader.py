"""Reading rule files. A file with a mistake is refused with its name, the line and the reason; nothing in it is run."""

from __future__ import annotations

from difflib import get_close_matches
from functools import cache
from pathlib import Path

from notelint.errors import BadRules
from notelint.rulebook.checks import check_parameters, kinds
from notelint.rulebook.schema import Rule, Settings
from notelint.rulebook.yamlfile import Parsed

MOST_FILES = 500
SETTINGS = "office.yaml"


def built_in_rules() -> Path:
    """The folder of the rules that come with notelint: inside the package when installed, else at the project's top."""
    here = Path(__file__).resolve().parent.parent
    packed = here / "_data" / "rules"
    return packed if packed.is_dir() else here.parent / "rules"


@cache
def load_built_in() -> tuple[Rule, ...]:
    """All rules that come with notelint, by family and name."""
    return load_folder(built_in_rules())


def load_rules(office: Path | None = None) -> tuple[Rule, ...]:
    """The rulebook, with an office's folder laid over it where one is given.

    Raises BadRules with file, line and reason.
    """
    rules = {rule.name: rule for rule in load_built_in()}
    if office is None:
        return tuple(rules.values())
    settings_file = office / SETTINGS
    own = load_folder(office)
    for rule in own:
        if rule.name in rules:
            raise BadRules(f"{office}: rule {rule.name!r} is built in; give yours another name, or change it in {SETTINGS}")
    if not own and not settings_file.is_file():
        raise BadRules(f"{office}: holds neither a rule file (*.yaml) nor {SETTINGS}; is it the right folder?")
    rules |= {rule.name: rule for rule in own}
    return _with_settings(rules, settings_file) if settings_file.is_file() else tuple(rules.values())


def _with_settings(rules: dict[str, Rule], file: Path) -> tuple[Rule, ...]:
    """The rules as the office's settings leave them."""
    parsed = Parsed(file)
    if parsed.data is None:
        raise BadRules(f"{file}:1: is empty; it may hold switch_off and change")
    settings = parsed.record(Settings)
    named = [(("switch_off", i), name) for i, name in enumerate(settings.switch_off)]
    for at, name in [*named, *((("change", name), name) for name in settings.change)]:
        if name not in rules:
            near = get_close_matches(name, rules, 1)
            hint = f"did you mean {near[0]!r}?" if near else "`notelint rules` lists them"
            raise BadRules(f"{file}:{parsed.line(at)}: no rule is named {name!r}; {hint}")
    changed = {name: rules[name].model_copy(update=change.model_dump(exclude_none=True)) for name, change in settings.change.items()}
    return tuple({**rules, **changed}[name] for name in rules if name not in settings.switch_off)


def load_folder(folder: Path) -> tuple[Rule, ...]:
    """The rules whose files stand in the folder or below it. Raises BadRules."""
    if not folder.is_dir():
        raise BadRules(f"{folder}: no such folder of rules; give the folder that holds the rule files")
    files = sorted(p for p in folder.rglob("*") if p.suffix in {".yaml", ".yml"} and p.name != SETTINGS and p.is_file())
    if len(files) > MOST_FILES:
        raise BadRules(f"{folder}: {len(files)} rule files; at most {MOST_FILES} are read")
    rules: dict[str, Rule] = {}
    for file in files:
        rule = load_rule(file)
        if rule.name in rules:
            raise BadRules(f"{file}:1: rule {rule.name!r} stands in two files; keep one")
        rules[rule.name] = rule
    return tuple(rules.values())


def load_rule(file: Path) -> Rule:
    """One rule file, checked, its check's parameters included. Raises BadRules."""
    parsed = Parsed(file)
    rule = parsed.record(Rule)
    if rule.name != file.stem:
        line = parsed.line(("name",))
        raise BadRules(f"{file}:{line}: the rule is named {rule.name!r} but its file {file.name!r}; name them alike")
    kind = rule.check.get("kind")
    model = check_parameters(kind)
    if model is None:
        near = get_close_matches(str(kind), kinds(), 1)
        hint = f"did you mean {near[0]!r}?" if near else "`notelint rules --checks` lists them"
        raise BadRules(f"{file}:{parsed.line(('check', 'kind'))}: no check is of kind {kind!r}; {hint}")
    parsed.record(model, ("check",), {name: value for name, value in rule.check.items() if name != "kind"})
    return rule


__all__ = ["SETTINGS", "built_in_rules", "load_built_in", "load_folder", "load_rule", "load_rules"]
