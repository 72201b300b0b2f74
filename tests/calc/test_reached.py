"""Every definition of the calculation package is reached by the app: what only tests reach is deleted, not kept.

Reached is what the code outside ``webcalc/calc`` names, what a package of calc offers in ``__all__``, and what either
of these names in turn. A name counts wherever it stands, whatever object it is asked of: the scan may miss something
dead that shares its name, but never calls dead what is alive.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import webcalc

ROOT = Path(webcalc.__path__[0])
#: ``module.name`` of what may stay though nothing reaches it, with the reason.
EXCUSED: dict[str, str] = {
    "power.shoot.ShootBattery.lasts_at": "its page is on its way",
}

Function = (ast.FunctionDef, ast.AsyncFunctionDef)


@dataclass(frozen=True)
class Definition:
    """Something defined in calc: its name, its class if it has one, and the code that comes alive with it."""

    name: str
    owner: str | None
    where: str
    code: tuple[ast.AST, ...]


def targets(node: ast.stmt) -> list[str]:
    """Return the plain names that a statement assigns to."""
    found = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    return [name.id for target in found for name in ast.walk(target) if isinstance(name, ast.Name)]


def is_dunder(name: str) -> bool:
    return name.startswith("__") and name.endswith("__")


def definitions(tree: ast.Module, module: str) -> Iterator[Definition]:
    """Give what a module defines: functions, classes, constants, and the methods and properties of its classes."""
    for node in tree.body:
        if isinstance(node, Function):
            yield Definition(node.name, None, f"{module}.{node.name}", (node,))
        elif isinstance(node, ast.ClassDef):
            members = [part for part in node.body if isinstance(part, Function) and not is_dunder(part.name)]
            # Fields, dunders and the class's own line come with the class: they're read by generated code.
            rest = [part for part in node.body if part not in members]
            yield Definition(
                node.name, None, f"{module}.{node.name}", (*node.bases, *node.keywords, *node.decorator_list, *rest)
            )
            for part in members:
                yield Definition(part.name, node.name, f"{module}.{node.name}.{part.name}", (part,))
        else:
            for name in targets(node):
                if not is_dunder(name):
                    yield Definition(name, None, f"{module}.{name}", (node,))


def offered(tree: ast.Module) -> set[str]:
    """Return the names in a module's ``__all__``, and what its code outside any definition names."""
    found: set[str] = set()
    for node in tree.body:
        if "__all__" in targets(node):
            found |= {part.value for part in ast.walk(node) if isinstance(part, ast.Constant)}
        elif isinstance(node, ast.If | ast.Expr | ast.For | ast.Try | ast.With | ast.AugAssign | ast.Assert):
            found |= named(node)
    return found


def named(node: ast.AST) -> set[str]:
    """Return every name that code reads: variables, attributes, imports, and strings that could name an attribute."""
    found: set[str] = set()
    for part in ast.walk(node):
        if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Load):
            found.add(part.id)
        elif isinstance(part, ast.Attribute):
            found.add(part.attr)
        elif isinstance(part, ast.ImportFrom):
            found |= {alias.name for alias in part.names}
        elif isinstance(part, ast.Constant) and isinstance(part.value, str) and part.value.isidentifier():
            found.add(part.value)
    return found


def results_fields(tree: ast.Module) -> set[str]:
    """Return the fields of classes of results: each is filled from the figure of its name."""
    classes = [node for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    asked = [node for node in classes if any("Results" in named(base) for base in node.bases)]
    return {name for node in asked for part in node.body for name in targets(part)}


def unreached(calc: dict[str, str], outside: list[str]) -> list[str]:
    """Return what in calc, given as source by module, neither its ``__all__`` nor the sources outside reach."""
    trees = {module: ast.parse(source) for module, source in calc.items()}
    alive = set().union(*(named(ast.parse(source)) for source in outside), *map(offered, trees.values()))
    alive |= set().union(*map(results_fields, trees.values()))
    waiting = [found for module, tree in trees.items() for found in definitions(tree, module)]
    while reached := [one for one in waiting if one.name in alive and (one.owner is None or one.owner in alive)]:
        waiting = [one for one in waiting if one not in reached]
        alive = alive.union(*(named(code) for one in reached for code in one.code))
    return [one.where for one in waiting]


def test_nothing_in_calc_is_reached_by_tests_only() -> None:
    sources = {path.relative_to(ROOT): path.read_text(encoding="utf-8") for path in ROOT.rglob("*.py")}
    calc = {".".join(path.with_suffix("").parts[1:]): text for path, text in sources.items() if path.parts[0] == "calc"}
    outside = [text for path, text in sources.items() if path.parts[0] != "calc"]
    assert len(calc) > 5 and outside
    found = unreached(calc, outside)
    assert sorted(set(found) - set(EXCUSED)) == []


@pytest.mark.parametrize(
    ("calc", "outside", "found"),
    [
        ("def f(): pass", "", ["m.f"]),
        ("def f(): pass", "from webcalc.calc.m import f", []),
        ("def f(): return f()", "", ["m.f"]),
        ("def f(): return g()\ndef g(): return f()", "", ["m.f", "m.g"]),
        ("def f(): return g()\ndef g(): pass", "m.f()", []),
        ("A = 1\nB: int = A", "", ["m.A", "m.B"]),
        ("A = 1\nB: int = A", "m.B", []),
        ("from n import f\ndef g(): pass", "", ["m.g"]),
        ("def f(): pass\n__all__ = ['f']", "", []),
        ("def f(): pass\ndef g(): pass\n__all__ = ('g',)", "", ["m.f"]),
        ("class C:\n x: int\n def __len__(self): return D\n def p(self): pass\nD = 1", "m.C", ["m.C.p"]),
        ("class C:\n def p(self): return D\nD = 1", "m.C().p", []),
        ("class C:\n def p(self): pass", "other.p", ["m.C", "m.C.p"]),
        ("class C:\n def p(self): pass\nclass R(Results):\n p: int = 0", "m.C; m.R", []),
        ("class C:\n def p(self): pass\nclass R:\n p: int = 0", "m.C; m.R", ["m.C.p"]),
    ],
)
def test_the_scan_finds_what_it_looks_for(calc: str, outside: str, found: list[str]) -> None:
    assert unreached({"m": calc}, [outside]) == found
