"""Rules of the house, read from the source: no cycles of imports, short modules, imports at the top."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import fitter

ROOT = Path(str(fitter.__file__)).parent
HEAVY = {"llvmlite", "numba", "pandas", "python_calamine", "rich", "scipy", "sklearn", "typst"}
"""Libraries that take long to import: functions that need them may import them."""
LONGEST = 400

ALLOWED = {"fitter.tui: fitter.tui.app"}
"""The one import of ours in a function: the terminal UI loads Textual when it opens, not when named."""


def sources() -> dict[str, Path]:
    paths = {p: [*p.relative_to(ROOT.parent).with_suffix("").parts] for p in sorted(ROOT.rglob("*.py"))}
    return {".".join(parts[:-1] if parts[-1] == "__init__" else parts): p for p, parts in paths.items()}


SOURCES = sources()
TREES = {name: ast.parse(path.read_text(encoding="utf-8")) for name, path in SOURCES.items()}


def imports(node: ast.AST) -> Iterator[ast.Import | ast.ImportFrom]:
    """Every import below a node that happens when the program runs, functions included."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import | ast.ImportFrom):
            yield child
        elif not (isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test)):
            yield from imports(child)


def targets(found: ast.Import | ast.ImportFrom) -> list[str]:
    """Names of the modules that an import loads; ours in full."""
    if isinstance(found, ast.Import):
        return [alias.name for alias in found.names]
    below = [f"{found.module}.{alias.name}" for alias in found.names]
    return [name if name in SOURCES else str(found.module) for name in below]


def in_functions(tree: ast.AST) -> list[ast.Import | ast.ImportFrom]:
    kinds = ast.FunctionDef | ast.AsyncFunctionDef
    return [found for node in ast.walk(tree) if isinstance(node, kinds) for found in imports(node)]


def reached(start: str, graph: dict[str, set[str]]) -> set[str]:
    """Every module that a module loads in the end."""
    seen: set[str] = set()
    todo = [*graph[start]]
    while todo:
        name = todo.pop()
        if name not in seen:
            seen.add(name)
            todo += graph[name]
    return seen


def test_no_module_reaches_itself() -> None:
    graph = {
        name: {t for found in imports(tree) for t in targets(found) if t in SOURCES and t != "fitter"}
        for name, tree in TREES.items()
    }
    assert {name for name in graph if name in reached(name, graph)} == set()


def test_modules_are_short() -> None:
    lengths = {name: len(path.read_text(encoding="utf-8").splitlines()) for name, path in SOURCES.items()}
    assert {name for name, length in lengths.items() if length > LONGEST} == set()


def test_imports_stand_at_the_top_unless_they_are_heavy() -> None:
    late = {
        f"{name}: {target}"
        for name, tree in TREES.items()
        for found in in_functions(tree)
        for target in targets(found)
        if target.split(".")[0] not in HEAVY
    }
    assert late == ALLOWED
