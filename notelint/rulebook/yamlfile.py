"""Reading a file of plain YAML into a record. A mistake is told with file, line and reason; nothing in the file is run."""

from __future__ import annotations

import re
from difflib import get_close_matches
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from notelint.errors import BadRules

MOST_BYTES = 400_000  # of one file; the largest of ours has some 15,000
MOST_DEPTH = 40  # of lists in keys in lists; a rule's deepest example has some ten

T = TypeVar("T", bound=BaseModel)


class _Plain(yaml.SafeLoader):
    """Plain data only: no aliases (they can explode), no key twice, no nesting without end, no words read as something else."""

    depth = 0

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        event = self.peek_event()  # type: ignore[no-untyped-call]
        if isinstance(event, yaml.AliasEvent):
            raise yaml.MarkedYAMLError(problem="aliases are not allowed here", problem_mark=event.start_mark)  # type: ignore[arg-type]
        if self.depth >= MOST_DEPTH:
            raise yaml.MarkedYAMLError(problem=f"nested more than {MOST_DEPTH} deep", problem_mark=event.start_mark)
        self.depth += 1
        try:
            return super().compose_node(parent, index)
        finally:
            self.depth -= 1

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        seen = set()
        for key, _ in node.value:
            if not isinstance(key, yaml.ScalarNode):
                raise yaml.MarkedYAMLError(problem="a key must be a word", problem_mark=key.start_mark)
            if key.value in seen:
                raise yaml.MarkedYAMLError(problem=f"the key {key.value[:60]!r} stands twice", problem_mark=key.start_mark)
            seen.add(key.value)
        return super().construct_mapping(node, deep)


# Only plain numbers, true and false are read as such: "on" is a key of ours, 6:12 a roof's pitch and 1_000 or 2021-01-01 are words.
_Plain.yaml_implicit_resolvers = {}
for _tag, _pattern, _first in (
    ("bool", r"^(?:true|True|false|False)$", "tTfF"),
    ("int", r"^[-+]?(?:0|[1-9][0-9]{0,14})$", "-+0123456789"),
    ("float", r"^[-+]?[0-9]{1,15}\.[0-9]{1,15}$", "-+0123456789"),
    ("null", r"^(?:~|null|Null|)$", ["~", "n", "N", ""]),
):
    _Plain.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(_pattern), list(_first))


def _node_and_data(text: str) -> tuple[yaml.Node | None, Any]:
    """The text's top node and its data. A text with a mistake is read once more, so that it is told in the same words everywhere."""
    if yaml.__with_libyaml__:
        try:
            return _loaded(_quick(text))
        except (yaml.YAMLError, RecursionError, ValueError, TypeError):
            pass
    return _loaded(_Plain(text))


def _quick(text: str) -> _Plain:
    """The same reader over the parser written in C, some ten times faster."""
    from yaml._yaml import CParser

    class Quick(_Plain, CParser):
        check_event, peek_event, get_event = CParser.check_event, CParser.peek_event, CParser.get_event

        def __init__(self) -> None:
            CParser.__init__(self, text)
            yaml.composer.Composer.__init__(self)
            yaml.constructor.SafeConstructor.__init__(self)
            yaml.resolver.Resolver.__init__(self)

    return Quick()


def _loaded(loader: _Plain) -> tuple[yaml.Node | None, Any]:
    node = loader.get_single_node()
    return node, loader.construct_document(node) if node else None


class Parsed:
    """A file's data and where in the file each part of it stands."""

    def __init__(self, file: Path) -> None:
        """Reads the file. Raises BadRules."""
        self.file = file
        text = _text_of(file)
        try:
            self.node, self.data = _node_and_data(text)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            raise BadRules(f"{file}:{mark.line + 1 if mark else 1}: {error.problem or 'is not YAML'}") from error
        except yaml.reader.ReaderError as error:
            line = text.count("\n", 0, error.position) + 1
            raise BadRules(f"{file}:{line}: holds a character that no text holds ({error.character!r})") from error
        except (yaml.YAMLError, RecursionError, ValueError, TypeError) as error:
            raise BadRules(f"{file}:1: is not YAML a rule can be read from ({type(error).__name__})") from error

    def record(self, model: type[T], under: tuple[str, ...] = (), data: Any = None) -> T:
        """The data (or `data`, which stands in the file under the keys `under`) as a record. Raises BadRules."""
        given = self.data if data is None else data
        if not isinstance(given, dict):
            raise BadRules(f"{self.file}:{self.line(under)}: holds no keys; see `notelint rules` for the form of a rule")
        try:
            return model.model_validate(given)
        except ValidationError as error:
            first = min(error.errors(), key=lambda e: e["type"] == "missing")  # a misspelt key before the one that it leaves out
            at = (*under, *first["loc"])
            name = ".".join(str(part) for part in self._known(at)) or "the file"
            raise BadRules(f"{self.file}:{self.line(at)}: {name[:100]}: {_reason(first, model)[:300]}") from error

    def line(self, at: tuple[Any, ...]) -> int:
        """The line (from 1) of the deepest part of `at` that stands in the file."""
        return self._walk(at)[1]

    def _known(self, at: tuple[Any, ...]) -> list[Any]:
        """The parts of `at` that stand in the file, and the last one, which may be lacking."""
        found = self._walk(at)[0]
        return found if not at or (found and found[-1] == at[-1]) else [*found, at[-1]]

    def _walk(self, at: tuple[Any, ...]) -> tuple[list[Any], int]:
        """Parts that the record's model adds (names of alternatives) stand in no file and are passed over."""
        node, found = self.node, list[Any]()
        line = node.start_mark.line + 1 if node else 1
        for part in at:
            below = None
            if isinstance(node, yaml.MappingNode):
                for key, value in node.value:
                    if key.value == str(part):
                        line, below = key.start_mark.line + 1, value
            elif isinstance(node, yaml.SequenceNode) and isinstance(part, int) and part < len(node.value):
                below = node.value[part]
                line = below.start_mark.line + 1
            if below is not None:
                node = below
                found.append(part)
        return found, line


def load_record(model: type[T], file: Path) -> T:
    """The whole file as one record. Raises BadRules with file, line and reason."""
    return Parsed(file).record(model)


def _text_of(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            raw = opened.read(MOST_BYTES + 1)
    except OSError as error:
        raise BadRules(f"{file}: cannot be read ({error.strerror or type(error).__name__})") from error
    if len(raw) > MOST_BYTES:
        raise BadRules(f"{file}: larger than {MOST_BYTES} bytes; a rule file is a page of text")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadRules(f"{file}:{line}: is not UTF-8 text; save it as UTF-8") from error


def _reason(error: ErrorDetails, model: type[BaseModel]) -> str:
    """Why a value is refused, in words of the file rather than of the program."""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "extra_forbidden":
        known = [field.alias or name for name, field in model.model_fields.items()] if len(error["loc"]) == 1 else []
        near = get_close_matches(str(error["loc"][-1]), known, 1)
        return "no such key" + (f"; did you mean {near[0]!r}?" if near else f"; known here: {', '.join(known)}" if known else "")
    if kind == "missing":
        return "is not given"
    if kind == "string_type" and isinstance(error["input"], int | float):
        return f"must be words; put {error['input']} between quotation marks"
    if kind == "string_pattern_mismatch":
        return f"{error['input']!r} does not have the form {context.get('pattern')} (lower case, digits, hyphens)"
    return str(error["msg"]).removeprefix("Value error, ")
