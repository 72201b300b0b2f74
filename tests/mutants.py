"""Change the code in small ways, one at a time, and see whether a test notices: ``python tests/mutants.py calc``.

Not part of the test run. A mutant that no test notices (a survivor) is a line whose value nothing checks. Each runs in
a process of its own, forked after the slow libraries are loaded; the changed module exists in its memory only. Tests
run in order of how near they are to the module, and end at the first that fails.

    python tests/mutants.py calc --sample 300 --seed 1
    python tests/mutants.py web --sample 150
    python tests/mutants.py calc/optics --sample 50      # a room or a module
    python tests/mutants.py data                         # every check row of tests/data, changed

What can't be noticed, as it changes no answer, is listed in ``mutants_equivalent.txt`` with the reason.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib.abc
import importlib.util
import json
import os
import random
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

TESTS = Path(__file__).resolve().parent
ROOT = TESTS.parent
EQUIVALENT = TESTS / "mutants_equivalent.txt"
#: Tests about the sources themselves, or that start other programs, say nothing of a mutant in memory.
LEFT_OUT = {"test_purity.py", "test_reached.py", "test_sources.py", "test_types.py"}
#: They touch all there is, and take long: what is nearer is asked before.
BROAD = {"test_propagation.py", "test_power_propagation.py", "test_laws.py", "test_any_query.py", "test_rigs.py"}
#: The pages that each room of the calculation package is mostly asked by, as their tests are named.
ASKED_BY = {
    "card": {"storage"},
    "clip": {"clip_interval_plan"},
    "light": {"daylight", "sun"},
    "onsite": {"check"},
    "optics": {"framing", "motion", "remount", "sun"},
    "power": {"battery", "solar"},
    "schedule": {"clip_interval_plan"},
    "visits": {"visits", "call"},
}

COMPARED = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
COMPUTED = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}


@dataclass(frozen=True)
class Mutant:
    """One change: where it is, what it says, and what makes the module's tree or the data file's text with it."""

    path: Path
    line: int
    scope: str
    change: str
    make: Callable[[], Any] = field(compare=False, repr=False)

    @property
    def name(self) -> str:
        """What stands for it in the list of equivalents: no line number, as those move."""
        return f"{self.path.relative_to(ROOT)} {self.scope}: {self.change}"


def changes(node: ast.AST) -> Iterator[ast.AST]:
    """Give what may stand in place of one node."""
    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        yield ast.Compare(node.left, [COMPARED[type(node.ops[0])]()], node.comparators)
    elif isinstance(node, ast.BinOp) and type(node.op) in COMPUTED:
        yield ast.BinOp(node.left, COMPUTED[type(node.op)](), node.right)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.And() if isinstance(node.op, ast.Or) else ast.Or(), node.values)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield ast.Constant(node.value + 1 if isinstance(node.value, int) else node.value * 1.25 or 1.0)
    elif isinstance(node, ast.Return) and node.value is not None and not is_none(node.value):
        yield ast.Return(ast.Constant(None))
    elif isinstance(node, ast.IfExp):
        yield ast.IfExp(node.test, node.orelse, node.body)
    elif isinstance(node, ast.Call) and len(node.args) >= 2 and in_order(node):
        yield ast.Call(node.func, [node.args[1], node.args[0], *node.args[2:]], node.keywords)


def is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def in_order(call: ast.Call) -> bool:
    """Whether the order of a call's first two arguments can matter."""
    name = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
    either_way = name in {"min", "max", "hypot", "need", "isclose"}
    starred = any(isinstance(one, ast.Starred) for one in call.args)
    return not either_way and not starred and ast.dump(call.args[0]) != ast.dump(call.args[1])


def places(node: ast.AST, scope: str) -> Iterator[tuple[ast.AST, str, int | None, ast.AST, str]]:
    """Give (parent, field, index, child, scope) of everything that may be changed: no annotation, text or decorator."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "bases", "type_params", "names", "func"):
            if name == "func" and isinstance(value, ast.Attribute):
                yield from places(value, scope)
            continue
        for index, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if not isinstance(child, ast.AST):
                continue
            inside = scope
            if isinstance(child, ast.FunctionDef | ast.ClassDef):
                inside = f"{scope}.{child.name}".lstrip(".")
            yield node, name, index, child, inside
            yield from places(child, inside)


def spots(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST, ast.AST, str]]:
    """Give (parent, field, index, child, what may stand there, scope) of every change of a tree."""
    for parent, name, index, child, scope in list(places(tree, "")):
        for changed in changes(child):
            yield parent, name, index, child, ast.copy_location(changed, child), scope or "module"


def mutants_of(path: Path) -> Iterator[Mutant]:
    """Give every mutant of a module."""
    for number, (*_, child, changed, scope) in enumerate(spots(ast.parse(path.read_text(encoding="utf-8")))):
        change = f"{short(child)}  ->  {short(changed)}"
        yield Mutant(path, getattr(child, "lineno", 0), scope, change, partial(changed_tree, path, number))


def changed_tree(path: Path, number: int) -> ast.AST:
    """Return a module's tree with the change of that number: made where it is needed, as a tree is large."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parent, name, index, _, changed, _ = next(islice(spots(tree), number, None))
    put(parent, name, index, changed)
    return ast.fix_missing_locations(tree)


def put(parent: ast.AST, name: str, index: int | None, child: ast.AST) -> None:
    if index is None:
        setattr(parent, name, child)
    else:
        getattr(parent, name)[index] = child


def short(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 90 else text[:87] + "..."


def rows_changed(path: Path) -> Iterator[Mutant]:
    """Give a data file once for each check row, with what the row says changed."""
    text = path.read_text(encoding="utf-8")
    whole = json.loads(text)
    for row in (row for row in whole.get("checks", whole.get("rows", [])) if isinstance(row, dict)):
        for key in ("expected", "published", "computed"):
            if row.get(key) is None:
                continue
            kept, row[key] = row[key], other(row[key])
            changed = partial(str, json.dumps(whole))
            yield Mutant(path, 0, str(row.get("id", row)), f"{key} of the row", changed)
            row[key] = kept


def other(value: Any) -> Any:
    """Return a value that isn't this one: every number in it a tenth larger, every text another."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value * 1.1 + 1 if isinstance(value, float) else value + max(1, value // 10)
    if isinstance(value, list):
        return [other(part) for part in value]
    if isinstance(value, dict):
        return {key: other(part) for key, part in value.items()}
    return f"not {value}"


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def imported(source: str) -> set[str]:
    """Return the modules that a source imports, by full name."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


class Order:
    """The tests that may notice a change of a module, nearest first."""

    def __init__(self) -> None:
        self.modules = {module_name(p): imported(p.read_text("utf-8")) for p in (ROOT / "webcalc").rglob("*.py")}
        found = [*TESTS.glob("calc/test_*.py"), *TESTS.glob("web/test_*.py")]
        self.tests = {path: imported(path.read_text("utf-8")) for path in sorted(found) if path.name not in LEFT_OUT}

    def of(self, path: Path, most: int, only_near: bool = False) -> list[Path]:
        """Return test files: of the same name, then those that import the module, then by steps between them."""
        if path.suffix == ".json":
            named = [test for test in self.tests if path.name in test.read_text("utf-8")]
            helper = {"battery_checks.json": "battery_data", "storage_checks.json": "storage_rows"}.get(path.name)
            return [*named, *(test for test, names in self.tests.items() if helper in names and test not in named)]
        name, steps = module_name(path), {module_name(path): 0}
        level = {name}
        for step in range(1, 5):
            level = {other for other, names in self.modules.items() if names & level and other not in steps}
            steps |= dict.fromkeys(level, step)
        ranked = []
        stem, room = path.stem, path.parent.name
        for test, names in self.tests.items():
            web = test.parent.name == "web"
            near = min((steps[one] for one in names & steps.keys()), default=None)
            if test.stem in (f"test_{stem}", f"test_page_{stem}", f"test_page_{room}"):
                ranked.append((0, web, test.name, test))
            elif test.stem.removeprefix("test_page_") in ASKED_BY.get(room, ()):
                ranked.append((2, web, test.name, test))
            elif near is not None and (not web or name.startswith("webcalc.web")):
                ranked.append((1 + near, web, test.name, test))
            elif web and (near := min((steps.get(one, 9) for one in self.pages(test)), default=9)) < 9:
                ranked.append((5 + near, web, test.name, test))
        near = [test for *_, test in sorted(ranked) if test.name not in BROAD]
        broad = [test for test in self.tests if test.name == "test_kept_answers.py"]
        broad += [test for *_, test in sorted(ranked) if test.name in BROAD]
        return near[:most] + broad * (not only_near)

    def pages(self, test: Path) -> list[str]:
        """Return the modules of the question that a test of the web side is named after."""
        question = test.stem.removeprefix("test_page_").removeprefix("test_")
        start = f"webcalc.web.questions.{question}"
        return [one for one in self.modules if one == start or one.startswith(start + ".")]


class Loader(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Give the changed module in place of the one in its file."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant, self.name = mutant, module_name(mutant.path)

    def find_spec(self, name: str, path: Any, target: Any = None) -> Any:
        if name != self.name:
            return None
        package = self.mutant.path.name == "__init__.py"
        spec = importlib.util.spec_from_file_location(
            name,
            self.mutant.path,
            loader=self,  # type: ignore[arg-type]
            submodule_search_locations=[str(self.mutant.path.parent)] if package else None,
        )
        return spec

    def create_module(self, spec: Any) -> None:
        return None

    def exec_module(self, module: Any) -> None:
        exec(compile(self.mutant.make(), str(self.mutant.path), "exec"), module.__dict__)  # noqa: S102 - our own code


class FirstFailure:
    """A plugin of pytest that writes down the first test, or file of tests, that fails; quick ones run first."""

    def __init__(self, into: Path) -> None:
        self.into = into

    def note(self, report: Any) -> None:
        if report.failed and not self.into.read_text(encoding="utf-8"):
            self.into.write_text(report.nodeid, encoding="utf-8")

    def pytest_runtest_logreport(self, report: Any) -> None:
        self.note(report)

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Put the tests on many chance values last: they take long, and the others mostly notice as well."""
        items.sort(key=lambda item: hasattr(getattr(item, "obj", None), "hypothesis"))

    def pytest_collectreport(self, report: Any) -> None:
        self.note(report)


def run_tests(mutant: Mutant | None, tests: list[str], limit_s: int, failure: Path) -> int:
    """Run the tests in this process, which is a fork; return pytest's exit code."""
    import pytest
    from hypothesis import Phase, settings

    resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
    resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s))
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    if mutant is not None and mutant.path.suffix == ".json":
        read_text = Path.read_text
        changed = mutant.make()
        Path.read_text = lambda path, *a, **k: changed if path == mutant.path else read_text(path, *a, **k)
    elif mutant is not None:
        sys.meta_path.insert(0, Loader(mutant))
    settings.register_profile(
        "mutants", database=None, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate]
    )
    settings.load_profile("mutants")
    options = ["-x", "-q", "-p", "no:cacheprovider", "-n", "0", "-m", "not slow", "--hypothesis-profile=mutants"]
    # The libraries were loaded before pytest could rewrite them.
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
    # The nearest alone first: mostly it is enough, and the others needn't be collected.
    for some in (tests[:1], tests[1:]):
        code = int(pytest.main([*options, *some], plugins=[FirstFailure(failure)])) if some else 0
        if code:
            return code
    return 0


def verdict(mutant: Mutant | None, tests: list[str], limit_s: int) -> tuple[str, float, str]:
    """Return what became of a mutant, its seconds and the test that noticed.

    It is killed, survived, or slow: nothing failed within the limit, as in a loop without end.
    """
    began = time.monotonic()
    with tempfile.NamedTemporaryFile() as noted:
        child = os.fork()
        if child == 0:
            code = 70
            with contextlib.suppress(BaseException):
                code = run_tests(mutant, tests, limit_s, Path(noted.name))
            os._exit(code)
        done = status = 0
        while not done and time.monotonic() - began < 6 * limit_s:
            time.sleep(0.02)
            done, status = os.waitpid(child, os.WNOHANG)
        if not done:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
        took = time.monotonic() - began
        if not done or (os.WIFSIGNALED(status) and os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGKILL)):
            return "slow", took, ""
        if os.WIFSIGNALED(status):
            raise SystemExit(f"a run of tests died by signal {os.WTERMSIG(status)}: {mutant}")
        found = "survived" if os.WEXITSTATUS(status) == 0 else "killed"
        return found, took, Path(noted.name).read_text(encoding="utf-8")


class Control:
    """Whether what noticed a mutant passes without it, or every mutant would look noticed; asked once for each."""

    def __init__(self, limit_s: int) -> None:
        self.limit_s = limit_s
        self.passes: dict[str, bool] = {}

    def __call__(self, test: str) -> bool:
        if test not in self.passes:
            self.passes[test] = verdict(None, [test], self.limit_s)[0] == "survived"
        return self.passes[test]


def equivalents() -> dict[str, str]:
    """Return the listed mutants that can't be noticed, with the reason of each."""
    lines = EQUIVALENT.read_text(encoding="utf-8").splitlines() if EQUIVALENT.exists() else []
    pairs = (line.split("  # ", 1) for line in lines if line.strip() and not line.startswith("#"))
    return {name.strip(): reason for name, reason in pairs}


def chosen(part: str) -> list[Mutant]:
    """Return every mutant of a part: ``data``, or a folder or module under webcalc."""
    if part == "data":
        return [one for path in sorted((TESTS / "data").glob("*.json")) for one in rows_changed(path)]
    start = ROOT / "webcalc" / part
    files = [start] if start.suffix == ".py" else sorted(start.rglob("*.py"))
    if not files:
        raise SystemExit(f"nothing in {start}")
    return [one for path in files for one in mutants_of(path)]


def main() -> None:
    parser = argparse.ArgumentParser(description="Change the code in small ways and see whether a test notices.")
    parser.add_argument("part", help="calc, web, data, or a folder or module under webcalc")
    parser.add_argument("--sample", type=int, default=100, help="how many mutants, by chance (default 100; 0: all)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--limit", type=int, default=60, help="seconds of processor a mutant has (default 60)")
    parser.add_argument("--files", type=int, default=8, help="files of tests that each runs at most (default 8)")
    parser.add_argument("--near", action="store_true", help="ask the nearest tests only: a quick look, no measure")
    parser.add_argument("--list", action="store_true", help="only list the mutants")
    asked = parser.parse_args()
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT), *(str(TESTS / name) for name in ("", "calc", "web", "browser"))]
    left_out = equivalents()
    everything = [one for one in chosen(asked.part) if one.name not in left_out]
    sample = everything
    if asked.sample and asked.sample < len(everything):
        sample = random.Random(asked.seed).sample(everything, asked.sample)  # noqa: S311 - a sample, no secret
    if asked.list:
        print(*(f"{one.name}  (line {one.line})" for one in sample), sep="\n")
        return
    # Loaded once, before the forks: the libraries that take long, and nothing of ours.
    for library in (
        "pytest",
        "hypothesis",
        "numpy",
        "skyfield.api",
        "flask",
        "wtforms",
        "icalendar",
        "astral.geocoder",
    ):
        with contextlib.suppress(ImportError):
            importlib.import_module(library)
    order, counts = Order(), {"killed": 0, "survived": 0, "slow": 0}

    control = Control(10 * asked.limit)

    def judge(mutant: Mutant) -> tuple[Mutant, str, float]:
        tests = [str(test.relative_to(ROOT)) for test in order.of(mutant.path, asked.files, asked.near)]
        if not tests:
            return mutant, "survived", 0.0
        found, took, noticed = verdict(mutant, tests, asked.limit)
        # Where the package can't even be imported any more, no test has a name to note.
        if found == "killed" and not control(noticed or tests[0]):
            raise SystemExit(f"{noticed or tests[0]} fails without any change: {mutant.name}")
        return mutant, found, took

    print(f"{len(sample)} of {len(everything)} mutants, {len(left_out)} listed as equivalent", flush=True)
    with ThreadPoolExecutor(asked.jobs) as pool:
        for mutant, found, took in pool.map(judge, sample):
            counts[found] += 1
            if found != "killed":
                where = f"{mutant.path.relative_to(ROOT)}:{mutant.line}"
                print(f"{found:8} {took:4.0f} s  {where}  {mutant.scope}: {mutant.change}", flush=True)
    total = sum(counts.values())
    print(f"{counts}; {100 * counts['survived'] / max(1, total):.0f} % survived", flush=True)


if __name__ == "__main__":
    main()
