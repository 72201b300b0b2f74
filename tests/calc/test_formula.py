"""Every formula as written down says what its function does.

Arguments are drawn from each parameter's name and annotation, inside the range its docstring promises. A formula whose
parameters can't be drawn fails: give the parameter a range in ``BY_NAME`` or ``BY_FORMULA``.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import math
import pkgutil
import types
import typing
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import webcalc.calc
from webcalc.calc.formula import FORMULAS, Formula, formula, work

for module in pkgutil.walk_packages(webcalc.calc.__path__, "webcalc.calc."):
    importlib.import_module(module.name)

#: What an expression may call besides its parameters. Its angles are in radians, unless a name ends in ``_deg``.
FUNCTIONS: dict[str, Any] = {
    "ceil": math.ceil,
    "floor": math.floor,
    "min": min,
    "max": max,
    "sqrt": math.sqrt,
    "log2": math.log2,
    "log10": math.log10,
    "pi": math.pi,
    "sin_deg": lambda x: math.sin(math.radians(x)),
    "cos_deg": lambda x: math.cos(math.radians(x)),
    "tan_deg": lambda x: math.tan(math.radians(x)),
    "atan_deg": lambda x: math.degrees(math.atan(x)),
}

#: Agreement asked for: rounding of a few float operations, no more.
RELATIVE = 1e-9
ABSOLUTE = 1e-12

Draw = st.SearchStrategy[Any]


def ordinary(kind: type) -> Draw:
    """Positive numbers of ordinary size."""
    if kind is int:
        return st.integers(1, 100_000)
    if kind is Fraction:
        return st.fractions(min_value=Fraction(1, 100), max_value=10_000, max_denominator=1_001)
    return st.floats(0.01, 1_000)


def share(kind: type) -> Draw:
    """Shares strictly between nothing and everything."""
    if kind is Fraction:
        return st.fractions(min_value=Fraction(1, 100), max_value=Fraction(99, 100), max_denominator=100)
    return st.floats(0.01, 0.99)


def angle(kind: type) -> Draw:
    """Angles at which no tangent runs away, halved or whole."""
    return st.integers(1, 85) if kind is int else st.floats(1, 85)


#: Ranges by the end of a parameter's name; the first that fits counts.
BY_NAME: tuple[tuple[str, Callable[[type], Draw]], ...] = (
    ("_share", share),
    ("share", share),
    ("_deg", angle),
    ("exponent", lambda kind: st.floats(1, 1.4)),
    ("temp_c", lambda kind: st.floats(-20, 25)),
    ("density", lambda kind: st.floats(0.1, 6)),
    ("day_of_year", lambda kind: st.integers(1, 366)),
)

#: Ranges of single parameters whose formula holds only there.
BY_FORMULA: dict[tuple[str, str], Draw] = {
    ("capacity_between_drains", "drain_1_ma"): st.floats(1, 50),
    ("capacity_between_drains", "drain_2_ma"): st.floats(100, 1_000),
    # Nearer than the hyperfocal distance, which is 6.3 m or more here; beyond it the far limit is infinite.
    ("far_limit_m", "focal_mm"): st.floats(50, 200),
    ("far_limit_m", "aperture"): st.floats(1, 8),
    ("far_limit_m", "coc_mm"): st.floats(0.01, 0.05),
    ("far_limit_m", "distance_m"): st.floats(0.5, 6),
    # A roll of less than half a turn.
    ("roll_tolerance_deg", "limit_px"): st.floats(0.1, 100),
    ("roll_tolerance_deg", "radius_px"): st.floats(100, 5_000),
}


def drawable_kind(annotation: Any) -> type | None:
    """Return the number type to draw: Fraction before int before float where several are allowed; None if no number."""
    allowed = typing.get_args(annotation) if isinstance(annotation, types.UnionType) else (annotation,)
    return next((kind for kind in (Fraction, int, float) if kind in allowed), None)


def strategy_for(name: str, parameter: str, annotation: Any) -> Draw:
    if (name, parameter) in BY_FORMULA:
        return BY_FORMULA[name, parameter]
    kind = drawable_kind(annotation)
    if kind is None:
        pytest.fail(f"{name}: no way to draw {parameter} ({annotation}); give it a range in BY_FORMULA")
    for ending, draw in BY_NAME:
        if parameter.endswith(ending):
            return draw(kind)
    return ordinary(kind)


def arguments_of(name: str, function: Callable[..., Any]) -> Draw:
    hints = typing.get_type_hints(function)
    return st.fixed_dictionaries(
        {
            parameter: strategy_for(name, parameter, hints[parameter])
            for parameter in inspect.signature(function).parameters
        }
    )


def evaluate(written: Formula, values: dict[str, Any]) -> Any:
    """Return the value of a formula as it is written, for these parameters."""
    code = compile(written.expression, written.name, "eval")
    return eval(code, {"__builtins__": {}}, {**FUNCTIONS, **values})  # noqa: S307 - our own text, never input


def assert_agrees(written: Formula, function: Callable[..., Any], values: dict[str, Any]) -> None:
    expected = evaluate(written, values)
    result = function(**values)
    assert result is not None, f"{written.name} gives None inside its range: {values}"
    assert math.isclose(float(result), float(expected), rel_tol=RELATIVE, abs_tol=ABSOLUTE), (result, expected, values)


@pytest.mark.parametrize("name", FORMULAS)
def test_expression_equals_function(name: str) -> None:
    written, function = FORMULAS[name]

    @settings(max_examples=60, derandomize=True, deadline=None, database=None)
    @given(arguments_of(name, function))
    def check(values: dict[str, Any]) -> None:
        assert_agrees(written, function, values)

    check()


@pytest.mark.parametrize("name", FORMULAS)
def test_expression_names_every_parameter_and_nothing_else(name: str) -> None:
    written, function = FORMULAS[name]
    names = {node.id for node in ast.walk(ast.parse(written.expression)) if isinstance(node, ast.Name)}
    assert names - set(FUNCTIONS) == set(inspect.signature(function).parameters)


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_has_a_result_and_a_source(name: str) -> None:
    written, _ = FORMULAS[name]
    assert written.result.isidentifier()
    assert written.source.strip()


def test_ranges_belong_to_formulas_that_exist() -> None:
    known = {(name, parameter) for name, (_, f) in FORMULAS.items() for parameter in inspect.signature(f).parameters}
    assert set(BY_FORMULA) <= known


def test_formulas_were_found() -> None:
    """Guards the tests above against running over an empty table."""
    assert {"frames_in", "interval_exact_s", "clip_s"} <= set(FORMULAS)


def test_a_wrong_expression_is_noticed() -> None:
    written = Formula("speed_up", "speed_up", "interval_s / fps", "made up")
    with pytest.raises(AssertionError):
        assert_agrees(written, FORMULAS["speed_up"][1], {"interval_s": Fraction(60), "fps": Fraction(30)})


def test_a_parameter_that_is_no_number_is_noticed() -> None:
    with pytest.raises(pytest.fail.Exception, match="no way to draw label"):
        strategy_for("made_up", "label", str)


def test_a_name_can_be_used_only_once() -> None:
    def clip_s(frames: int, fps: Fraction) -> Fraction:
        return frames / fps

    with pytest.raises(ValueError, match="a formula named clip_s exists already"):
        formula("clip_s", "frames / fps", "made up")(clip_s)


def test_working_keeps_the_numbers_beside_the_result() -> None:
    working = work(FORMULAS["clip_s"][1], frames=600, fps=Fraction(30))
    assert working.formula.expression == "frames / fps"
    assert dict(working.values) == {"frames": 600, "fps": 30}
    assert working.result == 20
