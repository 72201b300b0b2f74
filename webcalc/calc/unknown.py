"""What isn't known travels by itself.

A blank or wrong quantity is a ``NotKnown`` that carries the names to fill in. A figure reads what it rests on by
``need``, which raises ``Missing`` with all names united; ``figure`` catches it, here and nowhere else, and keeps the
``NotKnown`` as the figure's value. So nobody lists which figure rests on which quantity.

``None`` never means "not known": it means "none" or "never", as each quantity and figure says.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, Generic, NoReturn, ParamSpec, TypeVar, overload

if TYPE_CHECKING:
    from typing_extensions import TypeIs  # part of type checkers; nothing is imported at run time

T = TypeVar("T")
A = TypeVar("A")
B = TypeVar("B")
C = TypeVar("C")
D = TypeVar("D")
E = TypeVar("E")
P = ParamSpec("P")
#: Unions of numbers: the bound keeps type checkers from joining it to ``object``.
N = TypeVar("N", bound=Decimal | Fraction | float)
M = TypeVar("M", bound=Decimal | Fraction | float)


class NotKnown:
    """A value that isn't known.

    blank : names of quantities to fill in
    wrong : names of quantities that were typed and can't be used

    As a net under forgotten calls of ``need`` it refuses arithmetic, comparison, truth, iteration and text.
    """

    __slots__ = ("blank", "wrong")

    def __init__(self, blank: tuple[str, ...] = (), wrong: tuple[str, ...] = ()) -> None:
        self.blank = tuple(dict.fromkeys(blank))
        self.wrong = tuple(dict.fromkeys(wrong))

    @property
    def names(self) -> tuple[str, ...]:
        """Every name to blame: the blank ones, then the wrong ones."""
        return self.blank + self.wrong

    def __repr__(self) -> str:
        return f"NotKnown(blank={self.blank!r}, wrong={self.wrong!r})"

    def __reduce__(self) -> tuple[Any, ...]:
        return NotKnown, (self.blank, self.wrong)

    __hash__ = object.__hash__

    def _refuse(self, *_: object) -> NoReturn:
        raise Missing(self)

    if not TYPE_CHECKING:  # the type checker is to refuse them itself
        __eq__ = __lt__ = __le__ = __gt__ = __ge__ = _refuse
        __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = __truediv__ = __rtruediv__ = _refuse
        __floordiv__ = __rfloordiv__ = __mod__ = __rmod__ = __neg__ = __abs__ = _refuse
        __bool__ = __int__ = __float__ = __iter__ = __len__ = __contains__ = __getitem__ = _refuse
        __str__ = __format__ = _refuse


class Missing(Exception):
    """Something that a figure rests on isn't known.

    A plain ``Exception``: templates swallow the errors that attribute access can raise.
    """

    def __init__(self, unknown: NotKnown) -> None:
        super().__init__(unknown.names)
        self.unknown = unknown


def blank(*names: str) -> Any:
    """Return what stands for quantities that were left blank and have no meaning when they are."""
    return NotKnown(blank=names)


def wrong(*names: str) -> Any:
    """Return what stands for quantities that were typed and can't be used."""
    return NotKnown(wrong=names)


def ask(*names: str) -> Missing:
    """Return what to raise where these quantities are the ones to ask for."""
    return Missing(NotKnown(blank=names))


def united(*values: object) -> NotKnown | None:
    """Return all that is not known among these values as one; None where all is known."""
    lacking = [value for value in values if isinstance(value, NotKnown)]
    if not lacking:
        return None
    return NotKnown(
        tuple(name for one in lacking for name in one.blank), tuple(name for one in lacking for name in one.wrong)
    )


@overload
def need(a: N | NotKnown, /) -> N: ...
@overload
def need(a: T | NotKnown, /) -> T: ...
@overload
def need(a: A | NotKnown, b: N | NotKnown, /) -> tuple[A, N]: ...
@overload
def need(a: A | NotKnown, b: B | NotKnown, /) -> tuple[A, B]: ...
@overload
def need(a: A | NotKnown, b: N | NotKnown, c: C | NotKnown, /) -> tuple[A, N, C]: ...
@overload
def need(a: A | NotKnown, b: B | NotKnown, c: C | NotKnown, /) -> tuple[A, B, C]: ...
@overload
def need(a: N | NotKnown, b: B | NotKnown, c: C | NotKnown, d: D | NotKnown, /) -> tuple[N, B, C, D]: ...
@overload
def need(a: A | NotKnown, b: B | NotKnown, c: C | NotKnown, d: D | NotKnown, /) -> tuple[A, B, C, D]: ...
@overload
def need(
    a: A | NotKnown, b: B | NotKnown, c: C | NotKnown, d: D | NotKnown, e: E | NotKnown, /
) -> tuple[A, B, C, D, E]: ...
@overload
def need(*values: Any) -> Any: ...
def need(*values: Any) -> Any:
    """Return the values, which must all be known; raise ``Missing`` with the names of all that aren't.

    One call for all that a figure rests on: of two calls only the first would be named.
    """
    lacking = united(*values)
    if lacking is not None:
        raise Missing(lacking)
    return values[0] if len(values) == 1 else values


@overload
def said(a: N | NotKnown | None, /) -> N: ...
@overload
def said(a: T | NotKnown | None, /) -> T: ...
@overload
def said(a: N | NotKnown | None, b: M | NotKnown | None, /) -> tuple[N, M]: ...
@overload
def said(a: A | NotKnown | None, b: N | NotKnown | None, /) -> tuple[A, N]: ...
@overload
def said(a: A | NotKnown | None, b: B | NotKnown | None, /) -> tuple[A, B]: ...
@overload
def said(*values: Any) -> Any: ...
def said(*values: Any) -> Any:
    """Return values of which each is there, as ``given`` or another question has told: as ``need``, and never None."""
    found = need(*values)
    if any(value is None for value in values):
        raise TypeError("said() is for what was given")
    return found


def given(value: object) -> bool:
    """Whether a quantity was typed, be it wrongly; for those of which one or another will do."""
    return bool(value.wrong) if isinstance(value, NotKnown) else value is not None


def known(value: T | NotKnown) -> TypeIs[T]:
    """Whether a figure or a quantity is known."""
    return not isinstance(value, NotKnown)


def is_wrong(value: object) -> bool:
    """Whether a value isn't known because something was typed wrong, not only because it is blank."""
    return isinstance(value, NotKnown) and bool(value.wrong)


@overload
def or_none(value: N | NotKnown) -> N | None: ...
@overload
def or_none(value: T | NotKnown) -> T | None: ...
def or_none(value: Any) -> Any:
    """Return the value, or None while it isn't known: for data, where both are written alike."""
    return None if isinstance(value, NotKnown) else value


def unless_wrong(value: T | NotKnown) -> T | None:
    """Return the value, None while it only waits for blanks; raise ``Missing`` where something is typed wrong.

    For what can do without a part that nobody filled in, and must not do without one that can't be read.
    """
    if isinstance(value, NotKnown) and value.wrong:
        raise Missing(value)
    return or_none(value)


class figure(Generic[T]):
    """A property that is worked out once, and is ``NotKnown`` while something it needs is."""

    def __init__(self, work: Callable[[Any], T]) -> None:
        self.work = work
        self.name = work.__name__
        self.__doc__ = work.__doc__

    @overload
    def __get__(self, instance: None, owner: type) -> figure[T]: ...
    @overload
    def __get__(self, instance: object, owner: type) -> T | NotKnown: ...
    def __get__(self, instance: object | None, owner: type) -> Any:
        if instance is None:
            return self
        value: T | NotKnown
        try:
            value = self.work(instance)
        except Missing as missing:
            value = missing.unknown
        instance.__dict__[self.name] = value
        return value


S = TypeVar("S")


def figure_for(work: Callable[Concatenate[S, P], T]) -> Callable[Concatenate[S, P], T | NotKnown]:
    """Make a method a figure for what it is called with: worked out at each call."""

    @wraps(work)
    def worked(self: S, /, *args: P.args, **kwargs: P.kwargs) -> T | NotKnown:
        try:
            return work(self, *args, **kwargs)
        except Missing as missing:
            return missing.unknown

    return worked
