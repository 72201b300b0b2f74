"""What isn't known travels by itself: every figure of every room, on random shoots.

Spoil each quantity in turn: a figure that changes for some value of it must become unknown and name it; one that
changes for none stays. The shoots are random and invented; what a figure rests on is found out by trying other values,
so nothing here repeats a list from the package.
"""

from __future__ import annotations

import copy
import pickle
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, datetime
from functools import cache
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from random_plans import LATER, TEXTS, field_of, quantity_names, random_texts, together_wrong, typed_of

from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.plan import ShootNow
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import Missing, NotKnown, blank, figure, wrong

NOW = datetime(2027, 6, 13, 12, tzinfo=UTC)
#: The rooms, by what is read off them.
ROOMS: dict[str, Callable[[Shoot], object]] = {
    "shoot": lambda shoot: shoot,
    "clips": lambda shoot: shoot.clips,
    "card": lambda shoot: shoot.card,
    "files": lambda shoot: shoot.files,
    "battery": lambda shoot: shoot.battery,
    "panel": lambda shoot: shoot.battery.panel,
    "dark_runs": lambda shoot: shoot.battery.dark_runs,
    "allowance": lambda shoot: shoot.battery.allowance,
    "daylight": lambda shoot: shoot.daylight,
    "visits": lambda shoot: shoot.visits,
    "view": lambda shoot: shoot.view,
    "moving": lambda shoot: shoot.moving,
    "remounting": lambda shoot: shoot.remounting,
    "sunlight": lambda shoot: shoot.sunlight,
    "now": lambda shoot: ShootNow(shoot, NOW),
    "look": lambda shoot: ShootLook(shoot, NOW),
}
PLANS, QUANTITIES_A_PLAN = 150, 3
#: Most of the time goes into these: tried on every eighth shoot.
COSTLY = frozenset(f"sunlight.{name}" for name in ("hits", "turns", "runs", "lit_shares", "lit_days", "days"))
#: Figures that raised something, with the first shoot for which they did.
FAULTS: dict[str, tuple[Exception, dict[str, Any]]] = {}

#: Figures that are told as far as what is known carries: what is blank is left out of them, and the verdict names it.
BLANK_LEFT_OUT = {
    *("now.card_used_bytes", "remounting.tolerances", "visits.nothing_to_plan_by"),
    *("visits.planner", "visits.plan", "now.visited", "now.next_visit"),
    *("look.running", "look.judged", "look.comparison", "look.stories", "look.apart", "look.outlook"),
    "look.measured",
    # Without a card named, that of the smallest card that lasts.
    *("card.file_system", "card.on_card_frame_bytes", "card.cluster_cost_share", "card.day_bytes"),
    *("card.needed_bytes", "files.in_one_folder"),
}
#: Sun and clock by day: the light of the windows beside them is left out while it isn't known, blank or wrong.
AS_FAR_AS_KNOWN = {"daylight.days", "daylight.clock_stretches"}
#: Zones are proposed because what was typed can't be used.
AS_FAR_AS_KNOWN |= {"daylight.zone_proposals"}
_WHERE = ("site", "lat", "lon", "geo", "place", "tz", "light", "clock")
_CLOCK_SET_BY = ("did", "since", "renew", "on")
_DRAWS = ("standby_mw", "frame_j", "draw_ma", "draw_v", "burst_mw", "charge_frames", "lasted_days", "camera_kind")
_DRAWS += ("meter_mah", "meter_v", "meter_min")
_LOOK = ("running", "judged", "comparison", "stories", "apart", "outlook")
#: What a quantity adds to a figure that stands without it: the light at a visit, the offset of an instant.
LEFT_OUT = {
    *((f"now.{name}", where) for name in ("next_visit", "visited") for where in _WHERE),
    *((f"visits.{name}", where) for name in ("planner", "plan") for where in _WHERE),
    *((f"look.{name}", where) for name in _LOOK for where in _WHERE),
    *((f"card.{name}", where) for name in ("full_at", "full_if_left_running_at") for where in _WHERE),
    # Which way a load is known by is a matter of what was typed, be it wrongly.
    *((f"battery.{name}", by) for name in ("supply_alone", "supply") for by in _DRAWS),
    *(("files.numbers_roll_over_at", where) for where in (*_WHERE, *_CLOCK_SET_BY)),
}
#: Without this zone asking for one is better than asking for the other ways to tell it.
INSTEAD = dict.fromkeys(("site", "lat", "lon", "geo", "place"), "tz")


def figures_of(room: object) -> list[str]:
    """Return the names of all figures of a room."""
    return [name for base in type(room).__mro__ for name, part in vars(base).items() if isinstance(part, figure)]


def told(value: object) -> object:
    """Return a value as plain parts that can be compared: rooms and functions inside it are left out."""
    if isinstance(value, NotKnown):
        return ("not known", frozenset(value.names))
    if (
        isinstance(value, Shoot)
        or callable(value)
        or hasattr(type(value), "shoot")
        or "shoot" in getattr(type(value), "__dataclass_fields__", {})
    ):
        return type(value).__name__
    if is_dataclass(value):
        return (type(value).__name__, *(told(getattr(value, each.name)) for each in fields(value)))
    if isinstance(value, dict):
        return tuple((told(key), told(part)) for key, part in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return tuple(told(part) for part in value)
    if isinstance(value, set | frozenset):
        return frozenset(told(part) for part in value)
    if isinstance(value, ZoneInfo):
        return value.key
    return value


@dataclass(frozen=True)
class Seen:
    """Every figure of a shoot."""

    figures: dict[str, Any]

    @classmethod
    def of(cls, typed: dict[str, Any], leave_out: frozenset[str] = frozenset()) -> Seen:
        shoot, found = Shoot(**typed), {}
        for key, room_of in ROOMS.items():
            room = room_of(shoot)
            for name in figures_of(room):
                if f"{key}.{name}" not in leave_out:
                    try:
                        found[f"{key}.{name}"] = getattr(room, name)
                    except Exception as fault:
                        FAULTS.setdefault(f"{key}.{name}", (fault, typed))
                        found[f"{key}.{name}"] = NotKnown(tuple(quantity_names()))
        return cls(found)

    def unknown(self, name: str) -> NotKnown | None:
        value = self.figures[name]
        return value if isinstance(value, NotKnown) else None


def other_values(name: str, texts: dict[str, str]) -> Iterator[dict[str, Any]]:
    """Yield the shoot with other values of one quantity, blank among them where that has a meaning."""
    blank_means_something = not isinstance(Shoot.__dataclass_fields__[field_of(name)].default, NotKnown)
    for text in dict.fromkeys(TEXTS[name]):
        other = {key: each for key, each in {**texts, name: text}.items() if each}
        if (text or blank_means_something) and not together_wrong(other):
            yield typed_of(other)


@dataclass
class Spread:
    """What spoiling did over all shoots."""

    #: Figures that changed with the quantity and didn't become unknown, or became so without naming it.
    leaks: dict[tuple[str, str], dict[str, Any]]
    #: How often a figure became unknown by a quantity, and how often it changed with it.
    spoiled: dict[tuple[str, str], int]
    changed: dict[tuple[str, str], int]
    #: Figures that name one of two spoiled quantities, though each alone is named.
    half_named: dict[tuple[str, str, str], dict[str, Any]]


@cache
def spread() -> Spread:
    found = Spread({}, defaultdict(int), defaultdict(int), {})
    for number in range(PLANS):
        random = Random(number)  # noqa: S311 - shoots to try, no secrets
        texts = random_texts(random, blanks=random.choice((0.0, 0.03, 0.1)))
        # Later ones are drawn on their own, so that what is spoiled of the others stays what it was.
        names = random.sample([name for name in quantity_names() if name not in LATER], QUANTITIES_A_PLAN)
        names += Random(number).sample(sorted(LATER), 1) if number % 2 else []  # noqa: S311
        try_plan(texts, names, found, frozenset() if number % 8 == 0 else COSTLY)
    return found


def try_plan(texts: dict[str, str], names: list[str], found: Spread, leave_out: frozenset[str] = frozenset()) -> None:
    """Spoil these quantities of one shoot, alone and the first two together."""
    typed = typed_of(texts)
    here = Seen.of(typed, leave_out)
    base = {name: told(value) for name, value in here.figures.items()}
    alone = {}
    for name in names:
        field = field_of(name)
        ways = [{**typed, field: wrong(name)}]
        default = Shoot.__dataclass_fields__[field].default
        if field in typed and isinstance(default, NotKnown):
            ways.append({key: value for key, value in typed.items() if key != field})
        seen = [Seen.of(way, leave_out) for way in ways]
        alone[name] = seen[0]
        changes = set()
        for other in other_values(name, texts):
            changed = Seen.of(other, leave_out)
            changes |= {
                one
                for one, value in changed.figures.items()
                if told(value) != base[one] and (changed.unknown(one) is None or here.unknown(one) is None)
            }
        for one in here.figures:
            found.changed[one, name] += one in changes
            if one in AS_FAR_AS_KNOWN or (one, name) in LEFT_OUT:
                continue
            for without in seen[: 1 if one in BLANK_LEFT_OUT else None]:
                lacks = without.unknown(one)
                if one in changes:
                    if lacks is None or not {name, INSTEAD.get(name, name)} & set(lacks.names):
                        found.leaks.setdefault((one, name), {"texts": texts, "lacks": lacks})
                elif told(without.figures[one]) != base[one] and lacks is None:
                    found.leaks.setdefault((one, name), {"texts": texts, "differs": without.figures[one]})
            found.spoiled[one, name] += seen[0].unknown(one) is not None and here.unknown(one) is None
    first, second = names[:2]
    both = Seen.of({**typed, field_of(first): wrong(first), field_of(second): wrong(second)}, leave_out)
    for one in here.figures:
        if all((lacks := alone[name].unknown(one)) is not None and name in lacks.names for name in (first, second)):
            lacks = both.unknown(one)
            missed = {first, second} - set(lacks.names if lacks is not None else ())
            if missed and not decided_by(one, first, second, missed, texts, leave_out):
                found.half_named[one, first, second] = {"texts": texts, "lacks": lacks}


def decided_by(
    one: str, first: str, second: str, missed: set[str], texts: dict[str, str], leave_out: frozenset[str]
) -> bool:
    """Whether for some value of the quantity that is named the other isn't needed at all."""
    if len(missed) == 2:
        return False
    (other,) = missed
    named = first if other == second else second
    for way in other_values(named, texts):
        lacks = Seen.of({**way, field_of(other): wrong(other)}, leave_out).unknown(one)
        if lacks is None or other not in lacks.names:
            return True
    return False


def test_a_figure_never_raises() -> None:
    spread()
    assert not FAULTS, "\n".join(f"{figure}: {fault!r} for {typed}" for figure, (fault, typed) in FAULTS.items())


def test_a_figure_that_changes_with_a_quantity_names_it() -> None:
    leaks = spread().leaks
    assert not leaks, "\n".join(f"{figure} with {name}: {case}" for (figure, name), case in leaks.items())


#: A figure may become unknown by a quantity that changed it in none of these few shoots; these never may.
ROOMS_APART = {
    "clips": ("battery_wh", "temp_c", "standby_mw", "tz", "light", "found_frames", "used_gb", "visit_days", "bearing"),
    "card": ("battery_wh", "temp_c", "light", "visit_days", "found_gb", "clip_mbps", "panel_w", "focal_mm"),
    "files": ("battery_wh", "temp_c", "light", "visit_days", "found_gb", "panel_w", "focal_mm"),
    "battery": ("card_gb", "frame_mb", "size", "picture", "light", "visit_days", "found_battery", "clip_mbps"),
    "daylight": ("card_gb", "frame_mb", "battery_wh", "temp_c", "visit_days", "focal_mm", "found_clock", "panel_w"),
    "visits": ("found_frames", "clip_mbps", "focal_mm", "bearing", "visit_km", "at"),
    "view": ("first", "last", "interval", "card_gb", "battery_wh", "tz", "clip", "fps"),
    "remounting": ("first", "last", "interval", "card_gb", "battery_wh", "tz", "clip", "fps"),
}


@pytest.mark.parametrize("room", ROOMS_APART)
def test_a_figure_stays_where_what_is_spoiled_is_nothing_to_it(room: str) -> None:
    for number in range(12):
        typed = typed_of(random_texts(Random(1000 + number)))  # noqa: S311
        seen_in = ROOMS[room]
        base_room = seen_in(Shoot(**typed))
        base = {name: told(getattr(base_room, name)) for name in figures_of(base_room)}
        if room == "visits":
            base.pop("plan", None)  # it plans by what is known
        for name in ROOMS_APART[room]:
            spoiled = seen_in(Shoot(**{**typed, field_of(name): wrong(name)}))
            for one, value in base.items():
                assert told(getattr(spoiled, one)) == value, f"{room}.{one} changed by a wrong {name}: {typed}"


def test_two_spoiled_quantities_are_both_named() -> None:
    half = spread().half_named
    assert not half, "\n".join(f"{key}: {case}" for key, case in half.items())


def test_the_shoots_try_every_room() -> None:
    """A law over figures that never change would hold by itself."""
    changed = {one.split(".")[0] for (one, _name), times in spread().changed.items() if times}
    spoiled = {one.split(".")[0] for (one, _name), times in spread().spoiled.items() if times}
    assert changed == spoiled == set(ROOMS)


def test_every_quantity_has_texts() -> None:
    assert set(TEXTS) == set(quantity_names())
    for name, texts in TEXTS.items():
        assert len({text for text in texts if text}) >= (1 if name in (*LATER, "stills", "power", "kept_on") else 2), (
            name
        )


REFUSED = (
    lambda it: it + 1,
    lambda it: 1 + it,
    lambda it: it - 1,
    lambda it: 1 - it,
    lambda it: it * 2,
    lambda it: 2 / it,
    lambda it: it // 2,
    lambda it: it % 2,
    lambda it: -it,
    lambda it: abs(it),
    lambda it: it == 1,
    lambda it: it != 1,
    lambda it: it < 1,
    lambda it: it >= 1,
    lambda it: not it,
    lambda it: it or 1,
    lambda it: int(it),
    lambda it: float(it),
    lambda it: list(it),
    lambda it: len(it),
    lambda it: 1 in it,
    lambda it: it[0],
    lambda it: str(it),
    lambda it: f"{it}",
    lambda it: max([1, it]),
    lambda it: sum([it]),
)


@pytest.mark.parametrize("use", REFUSED, ids=range(len(REFUSED)))
def test_what_is_not_known_refuses_to_be_used(use: Callable[[Any], object]) -> None:
    with pytest.raises(Missing) as caught:
        use(NotKnown(("interval",), ("fps",)))
    assert caught.value.unknown.names == ("interval", "fps")


def test_what_is_not_known_can_be_shown_copied_and_kept() -> None:
    unknown = NotKnown(("interval",), ("fps",))
    assert repr(unknown) == "NotKnown(blank=('interval',), wrong=('fps',))"
    for twin in (copy.copy(unknown), copy.deepcopy(unknown), pickle.loads(pickle.dumps(unknown))):  # noqa: S301
        assert (twin.blank, twin.wrong) == (("interval",), ("fps",))
    assert blank("first").names == wrong("first").names == ("first",)
    assert {unknown: 1}[unknown] == 1
