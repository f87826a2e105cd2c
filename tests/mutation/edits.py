"""Single edits of a source file: what a slip of the hand or of the mind could make of a line."""

import ast
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

MORE = 1.2  # a constant off by a fifth

FLIPPED: dict[type[ast.cmpop], str] = {
    ast.Lt: ">=", ast.LtE: ">", ast.Gt: "<=", ast.GtE: "<", ast.Eq: "!=", ast.NotEq: "==",
    ast.Is: "is not", ast.IsNot: "is", ast.In: "not in", ast.NotIn: "in",
}  # fmt: skip
EDGE: dict[type[ast.cmpop], str] = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">"}
OPERATORS: dict[type[ast.operator], str] = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.Pow: "*",
}  # fmt: skip
CALLS = {
    "max": "min", "min": "max", "maximum": "minimum", "minimum": "maximum", "any": "all",
    "all": "any", "ceil": "floor", "floor": "ceil", "hypot": "sum_of", "clip": "first_of",
}  # fmt: skip
NEIGHBOURS = {
    "low": "high", "high": "low", "low_si": "high_si", "high_si": "low_si", "si": "low_si",
    "nominal": "high", "safe": "nominal", "deepest": "shallowest", "shallowest": "deepest",
    "early_K": "hottest_K", "before": "after", "after": "before",
}  # fmt: skip
NOT_A_CHOICE = {  # keywords that say how a thing is built or printed, not what it comes to
    "strict", "slots", "frozen", "kw_only", "init", "repr", "compare", "nearest", "plain", "unit",
    "off_dial", "brief", "exist_ok", "keepdims",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit of one place: from characters start to end of a file something else stands there."""

    file: str
    place: str
    kind: str
    start: int
    end: int
    was: str
    becomes: str
    nth: int = 0  # of the same edits in the same place

    @property
    def name(self) -> str:
        """What it is called wherever it stands in the file, so that a list of them keeps."""
        nth = f" ({self.nth + 1})" if self.nth else ""
        return f"{self.file}::{self.place}: {flat(self.was)} -> {flat(self.becomes)}{nth}"

    def drawn(self, seed: int) -> str:
        """Return where it stands in a seeded draw: a change elsewhere moves nothing."""
        return hashlib.sha256(f"{seed} {self.name}".encode()).hexdigest()

    def made(self, source: str) -> str:
        """Return the file with the edit in it."""
        return source[: self.start] + self.becomes + source[self.end :]


def flat(text: str) -> str:
    """Return it on one line."""
    return " ".join(text.split())


def edits_of(root: Path, file: str) -> list[Edit]:
    """Return every edit of a file of the package or of its tables."""
    source = (root / file).read_text(encoding="utf-8")
    found = _of_facts(source, file) if file.endswith(".toml") else _of_code(source, file)
    seen: dict[tuple[str, str, str], int] = {}
    named = []
    for edit in found:
        key = edit.place, flat(edit.was), flat(edit.becomes)
        nth = seen[key] = seen.get(key, -1) + 1
        named.append(Edit(file, edit.place, edit.kind, edit.start, edit.end, edit.was,
                          edit.becomes, nth))  # fmt: skip
    return named


def _of_facts(source: str, file: str) -> Iterator[Edit]:
    """Return the edits of the facts of a process: each truth turned, each path another."""
    place = ""
    for line in re.finditer(r"^.*$", source, flags=re.MULTILINE):
        if header := re.match(r"\[(process\.[\w-]+)\]", line[0]):
            place = header[1]
        elif place and (fact := re.match(r"(\w+) = (true)$|(path) = \"(\w+)\"$", line[0])):
            becomes = line[0].replace("true", "false")
            if fact[3]:
                becomes = f'path = "{"shut" if fact[4] != "shut" else "open"}"'
            yield Edit(file, place, "fact", line.start(), line.end(), line[0], becomes)


def _of_code(source: str, file: str) -> Iterator[Edit]:
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line.encode()))
    raw = source.encode()

    def at(line: int, column: int) -> int:
        return len(raw[: starts[line - 1] + column].decode())

    for node, place in _nodes(ast.parse(source), ""):
        if re.fullmatch(r"-?1e-\d+", ast.unparse(node)):
            continue  # a tolerance, no number of the trade
        for kind, becomes in _variants(node):
            start = at(node.lineno, node.col_offset)
            end = at(node.end_lineno or node.lineno, node.end_col_offset or 0)
            was = source[start:end]
            if flat(becomes) != flat(was):
                yield Edit(file, place, kind, start, end, was, becomes)


def _nodes(node: ast.AST, place: str) -> Iterator[tuple[ast.expr | ast.Return, str]]:
    """Return the parts of a file that decide something, and the function each stands in."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        if node.name in ("to_dict", "__str__", "__repr__", "examples"):
            return
        place = f"{place}.{node.name}" if place else node.name
    if isinstance(node, ast.Raise | ast.JoinedStr | ast.Assert | ast.Import | ast.ImportFrom):
        return
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        return
    if isinstance(node, ast.keyword) and node.arg in NOT_A_CHOICE:
        return
    if isinstance(node, ast.expr | ast.Return):
        yield node, place
    for field, value in ast.iter_fields(node):
        if field in ("annotation", "returns", "decorator_list", "bases", "slice"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _nodes(child, place)


def _variants(node: ast.AST) -> Iterator[tuple[str, str]]:
    """Return what may stand in the place of a part: the kind of the slip, and the text."""
    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        operator, right = type(node.ops[0]), node.comparators[0]
        yield "comparison", _compared(node, FLIPPED[operator])
        whole = isinstance(right, ast.Constant) and type(right.value) is int
        if whole and operator in EDGE:  # of floats the edge itself is hit by nothing
            yield "edge", _compared(node, EDGE[operator])
    elif isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
        left, right_text = ast.unparse(node.left), ast.unparse(node.right)
        if not any(isinstance(n, ast.JoinedStr) or _is_text(n) for n in (node.left, node.right)):
            yield "operator", f"(({left}) {OPERATORS[type(node.op)]} ({right_text}))"
            yield "dropped term", f"({left})"
            if not isinstance(node.op, ast.Sub | ast.Div | ast.Pow):
                yield "dropped term", f"({right_text})"
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        yield "sign", f"({ast.unparse(node.operand)})"
    elif isinstance(node, ast.BoolOp):
        word = " or " if isinstance(node.op, ast.And) else " and "
        yield "and/or", f"({word.join(f'({ast.unparse(v)})' for v in node.values)})"
        for i in range(len(node.values)):
            rest = [v for j, v in enumerate(node.values) if j != i]
            joined = (" and " if isinstance(node.op, ast.And) else " or ").join(
                f"({ast.unparse(v)})" for v in rest
            )
            yield "dropped condition", f"({joined})"
    elif isinstance(node, ast.IfExp):
        yield "branch", f"({ast.unparse(node.body)})"
        yield "branch", f"({ast.unparse(node.orelse)})"
    elif isinstance(node, ast.Call):
        yield from _other_calls(node)
    elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
        if node.attr in NEIGHBOURS:
            yield "neighbour", f"{ast.unparse(node.value)}.{NEIGHBOURS[node.attr]}"
    elif isinstance(node, ast.Return) and isinstance(node.value, ast.Tuple):
        parts = [ast.unparse(part) for part in node.value.elts]
        if len(parts) == 2:
            yield "neighbour", f"return {parts[1]}, {parts[0]}"
    elif isinstance(node, ast.Constant):
        yield from _other_constants(node.value)


def _compared(node: ast.Compare, operator: str) -> str:
    return f"({ast.unparse(node.left)} {operator} {ast.unparse(node.comparators[0])})"


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _other_calls(node: ast.Call) -> Iterator[tuple[str, str]]:
    called = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
    swapped = CALLS.get(called)
    if swapped is None:
        return
    arguments = [ast.unparse(argument) for argument in node.args]
    if swapped == "first_of" or swapped == "sum_of":
        if arguments and not any(a.startswith("*") for a in arguments):
            for argument in arguments[: 1 if swapped == "first_of" else None]:
                yield "dropped term", f"({argument})"
        return
    function = ast.unparse(node.func)
    renamed = function[: len(function) - len(called)] + swapped
    rest = [ast.unparse(keyword) for keyword in node.keywords]
    yield "min/max", f"{renamed}({', '.join(arguments + rest)})"
    if len(arguments) == 2 and not any(isinstance(a, ast.Starred) for a in node.args):
        for argument in arguments:
            yield "dropped term", f"({argument})"


def _other_constants(value: object) -> Iterator[tuple[str, str]]:
    if isinstance(value, bool):
        yield "truth", str(not value)
    elif isinstance(value, float) and value:
        yield "constant", repr(value * MORE)
        yield "constant", "0.0"
    elif isinstance(value, float):
        yield "constant", "1.0"
