"""Reading rule files. A file with a mistake is refused with its name, the line and the reason; nothing in it is run."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from notelint.errors import BadRules
from notelint.rulebook.checks import check_parameters
from notelint.rulebook.schema import Rule, Settings

MOST_BYTES = 400_000  # of one rule file; the largest of ours has some 15,000
MOST_FILES = 500
SETTINGS = "office.yaml"


T = TypeVar("T", bound=BaseModel)


class _Plain(yaml.SafeLoader):
    """Plain data only: no aliases (they can explode), no key twice."""

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        if self.check_event(yaml.events.AliasEvent):
            event = self.get_event()
            raise yaml.MarkedYAMLError(problem="aliases are not allowed in a rule file", problem_mark=event.start_mark)
        return super().compose_node(parent, index)

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        seen = set()
        for key, _ in node.value:
            if key.value in seen:
                raise yaml.MarkedYAMLError(problem=f"the key {key.value!r} stands twice", problem_mark=key.start_mark)
            seen.add(key.value)
        return super().construct_mapping(node, deep)


def built_in_rules() -> Path:
    """The folder of the rules that come with notelint: inside the package when installed, else at the project's top."""
    here = Path(__file__).resolve().parent.parent
    packed = here / "_data" / "rules"
    return packed if packed.is_dir() else here.parent / "rules"


@cache
def load_built_in() -> tuple[Rule, ...]:
    """All rules that come with notelint, by family and name."""
    return _load_folder(built_in_rules())


def load_rules(office: Path | None = None) -> tuple[Rule, ...]:
    """The rulebook, with an office's folder laid over it where one is given.

    Raises BadRules with file, line and reason.
    """
    rules = {rule.name: rule for rule in load_built_in()}
    if office is None:
        return tuple(rules.values())
    if not office.is_dir():
        raise BadRules(f"{office}: no such folder of rules; give the folder that holds the rule files")
    settings = _load_settings(office / SETTINGS)
    for rule in _load_folder(office):
        if rule.name in rules:
            raise BadRules(f"{office}: rule {rule.name!r} is built in; give yours another name, or change it in {SETTINGS}")
        rules[rule.name] = rule
    for name in [*settings.switch_off, *settings.change]:
        if name not in rules:
            raise BadRules(f"{office / SETTINGS}: no rule is named {name!r}; `notelint rules` lists them")
    for name, change in settings.change.items():
        rules[name] = rules[name].model_copy(update=change.model_dump(exclude_none=True))
    return tuple(rule for name, rule in rules.items() if name not in settings.switch_off)


def _load_folder(folder: Path) -> tuple[Rule, ...]:
    files = sorted(p for p in folder.rglob("*") if p.suffix in {".yaml", ".yml"} and p.name != SETTINGS and p.is_file())
    if len(files) > MOST_FILES:
        raise BadRules(f"{folder}: {len(files)} rule files; at most {MOST_FILES} are read")
    rules: dict[str, Rule] = {}
    for file in files:
        rule = load_rule(file)
        if rule.name in rules:
            raise BadRules(f"{file}: rule {rule.name!r} stands in two files; keep one")
        rules[rule.name] = rule
    return tuple(rules.values())


def load_rule(file: Path) -> Rule:
    """One rule file, checked, its check's parameters included. Raises BadRules."""
    data, node = _parse(file)
    rule = _validated(Rule, data, node, file)
    if rule.name != file.stem:
        raise BadRules(f"{file}:1: the rule is named {rule.name!r} but its file {file.name!r}; name them alike")
    parameters, kind = dict(rule.check), rule.check.get("kind")
    parameters.pop("kind", None)
    model = check_parameters(kind)
    if model is None:
        raise BadRules(f"{file}:{_line_of(node, ('check', 'kind'))}: no check is of kind {kind!r}; `notelint rules --checks` lists them")
    _validated(model, parameters, _child(node, "check"), file)
    return rule


def _load_settings(file: Path) -> Settings:
    if not file.exists():
        return Settings()
    data, node = _parse(file)
    return _validated(Settings, data, node, file)


def _parse(file: Path) -> tuple[Any, yaml.Node | None]:
    try:
        if file.stat().st_size > MOST_BYTES:
            raise BadRules(f"{file}: larger than {MOST_BYTES} bytes; a rule file is a page of text")
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadRules(f"{file}: cannot be read as UTF-8 text ({type(error).__name__})") from error
    try:
        return yaml.load(text, Loader=_Plain), yaml.compose(text, Loader=_Plain)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise BadRules(f"{file}:{mark.line + 1 if mark else 1}: {error.problem or 'is not YAML'}") from error
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        raise BadRules(f"{file}: is not YAML a rule can be read from ({type(error).__name__})") from error


def _validated(model: type[T], data: Any, node: yaml.Node | None, file: Path) -> T:
    if not isinstance(data, dict):
        raise BadRules(f"{file}:1: holds no keys; see `notelint rules` for the form of a rule")
    try:
        return model.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        at = tuple(p for p in first["loc"] if not (isinstance(p, str) and p[:1].isupper()))
        name = ".".join(str(p) for p in at)
        raise BadRules(f"{file}:{_line_of(node, at)}: {name}: {first['msg']}") from error


def _child(node: yaml.Node | None, key: str) -> yaml.Node | None:
    if isinstance(node, yaml.MappingNode):
        for k, v in node.value:
            if k.value == key:
                return v
    return None


def _line_of(node: yaml.Node | None, path: tuple[Any, ...]) -> int:
    """The line (from 1) of the deepest part of `path` that exists in the file."""
    line = node.start_mark.line + 1 if node else 1
    for part in path:
        below = None
        if isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                if key.value == str(part):
                    line, below = key.start_mark.line + 1, value
        elif isinstance(node, yaml.SequenceNode) and isinstance(part, int) and part < len(node.value):
            below = node.value[part]
            line = below.start_mark.line + 1
        if below is None:
            return line
        node = below
    return line
