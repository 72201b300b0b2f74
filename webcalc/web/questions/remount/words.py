"""The page ``/remount`` in words: what to turn back, how sure that is, what is tolerable, what a crop costs."""

from __future__ import annotations

from decimal import Decimal
from math import isinf

from webcalc.calc.optics.landmarks import Remount
from webcalc.calc.optics.putting_back import UNDO
from webcalc.calc.optics.remount import Point, Shift, TurnTolerance
from webcalc.calc.unknown import known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.questions.remount import workings
from webcalc.web.words.answer import FAILS, LOOK, Block, Fact, Facts, Points, Row, Table, Text
from webcalc.web.words.cautions import LOCAL_CODES, falling_objects, ladder, sun
from webcalc.web.words.say import Say
from webcalc.web.words.working import How

#: How it came back: with a positive value, with a negative one.
_CAME_BACK = {
    "roll_deg": ("rolled clockwise", "rolled counter-clockwise"),
    "tilt_deg": ("pointing up", "pointing down"),
    "pan_deg": ("pointing right", "pointing left"),
}

_TURN_NAMES = {"roll_deg": "Roll", "tilt_deg": "Tilt", "pan_deg": "Pan"}


def put_back_words(asked: Asked) -> str:
    """Write how to bring the camera back and how it came back; for a head that wasn't said, for both kinds."""
    room = asked.shoot.remounting
    error, other = or_none(room.error), or_none(room.other_head)
    parts = []
    if error is None:
        parts.append("The turns of a head that pans about the vertical need its tilt.")
    elif need(room.head_matters):
        parts.append(f"Seen from behind the camera, on a ball head: {_undo(asked, error)}.")
        if other is not None:
            parts.append(f"On a head with pan and tilt, its base level: {_undo(asked, other)}.")
    elif undo := _undo(asked, error):
        parts.append(f"Seen from behind the camera: {undo}.")
    if error is not None and (happened := _happened(asked, error)):
        parts.append(f"It came back {happened}.")
    if need(room.stands_elsewhere):
        parts.append("Zoom or standpoint changed too.")
    if or_none(room.looks_straight_down):
        parts.append("Looking straight down, rolling is done by the head’s pan.")
    return " ".join(parts)


def _undo(asked: Asked, found: Remount) -> str:
    """Write the turns that bring the camera back, roll first: ``roll clockwise 0.2°, then turn right 0.4°``."""
    steps = need(asked.shoot.remounting.steps(found))
    return ", then ".join(f"{UNDO[one.way][one.deg < 0]} {_turn(asked, abs(one.deg))}" for one in steps)


def _turn(asked: Asked, turn_deg: float) -> str:
    """Write a turn as finely as the movement allowed needs it."""
    decimals = or_none(asked.shoot.remounting.decimals)
    return f"{asked.say.number(turn_deg, 3 if decimals is None else decimals)}°"


def _happened(asked: Asked, found: Remount) -> str:
    """Write how the camera came back: ``pointing left, rolled clockwise``."""
    steps = need(asked.shoot.remounting.steps(found))
    return ", ".join(_CAME_BACK[one.way][one.deg < 0] for one in reversed(steps))


def steps_table(asked: Asked) -> Table | None:
    """Show where each landmark must stand after each turn."""
    say, room = asked.say, asked.shoot.remounting
    error = or_none(room.error)
    if error is None or need(room.looks_swapped):
        return None
    steps = need(room.steps(error))
    if not steps:
        return None
    head = ("Landmark", *(_TURN_NAMES[one.way] for one in steps))
    stands = zip(*(one.stand for one in steps), strict=True)
    rows = [Row((str(stand[0][0]), *(_place(say, at) for _n, at in stand))) for stand in stands]
    zoom = "With the zoom set back first. " if need(room.zoom_changed) else ""
    head_note = "On a ball head. " if or_none(room.head_matters) else ""
    return Table(
        "Where the landmarks must stand after each turn", head, rows, f"{head_note}{zoom}x,y in px from the top left."
    )


def _place(say: Say, at: Point | None) -> str:
    return "not seen" if at is None else f"{say.number(at[0], 1)}; {say.number(at[1], 1)}"


def stretch_step(asked: Asked, stretch: float) -> Text:
    """Offer the fresh positions as they would be at the reference's size."""
    names = [f"now{n}" for n in asked.shoot.remounting.numbers]
    points = {name: asked.inputs.values[name] for name in names}
    stretched = {name: tuple(round(side * Decimal(stretch), 1) for side in point) for name, point in points.items()}
    return Text("", href=asked.url("remount", **stretched), link_words="Take them at the reference’s size")


def worst_landmark(asked: Asked) -> Text | None:
    """Say which landmark fits worst to the nearest turn, where more than two are there to tell."""
    room, say = asked.shoot.remounting, asked.say
    fits = [one for one in (or_none(room.fixed), or_none(room.free)) if one is not None]
    if not fits:
        return None
    best = min(fits, key=lambda one: one.residual_px)
    left = f"The nearest turn leaves {say.unit(best.residual_px, 'px', 2)}"
    if len(best.misses_px) < 3:
        return Text(f"{left}.", LOOK)
    number = room.numbers[best.misses_px.index(best.residual_px)]
    return Text(f"{left}, most at landmark {number}: tap that one again, or leave it out.", LOOK)


def found_blocks(asked: Asked) -> list[Block]:
    """Show the error with how sure it is, and what turning can't explain."""
    say, room = asked.say, asked.shoot.remounting
    found, fixed, free = or_none(room.in_camera_axes), or_none(room.fixed), or_none(room.free)
    if found is None:
        return []
    if need(room.looks_swapped):
        get = asked.inputs.get
        href = asked.url("remount", now1=get("now2"), now2=get("now1"))
        return [Text("", href=href, link_words="Swap the landmarks in the fresh frame")]
    told = or_none(room.error) or found
    error, unsure, by_turn = told.error, told.uncertainty, workings.turn_how(say, told)
    rows = [
        Fact(name, _side(asked, way, getattr(error, way)), _within(asked, getattr(unsure, way)), by_turn)
        for way, name in _TURN_NAMES.items()
    ]
    if found.zoom_fixed:
        missed, how = say.unit(found.residual_px, "px", 2), workings.misses_how(say, found)
        rows.append(Fact("Missed by", missed, "at most, with the zoom as it was", how))
    if free is not None:
        within = "can’t be told" if isinf(free.uncertainty.zoom) else f"±{say.percent(free.uncertainty.zoom)}"
        zoom, how = f"×{say.number(free.error.zoom, 4)}", workings.turn_how(say, free)
        rows.append(Fact("Zoom, if it may have changed", zoom, within, how))
    if fixed is not None and not found.zoom_fixed:
        missed, how = say.unit(fixed.residual_px, "px", 2), workings.misses_how(say, fixed)
        rows.append(Fact("Miss with a fixed zoom", missed, "by turning alone", how))
    axes = "pan about the vertical" if error.head_tilt_deg else "about the camera’s own axes"
    readings = say.unit(found.reading_px, "px")
    blocks: list[Block] = [Facts(rows, f"How it came back, {axes}, if all is read to {readings}")]
    if need(room.stands_elsewhere):
        longer = "longer" if error.zoom > 1 else "shorter"
        blocks.append(
            Text(
                f"Turning alone can't undo it: the focal length is {say.percent(abs(error.zoom - 1))} {longer} than "
                "before, or the camera stands elsewhere. Set the zoom first; on a fixed lens put the foot back.",
                LOOK,
            )
        )
    elif fixed is None:
        blocks.append(Text("With a fixed lens no turning explains it: the focal length changed.", LOOK))
    return blocks


def _within(asked: Asked, unsure_deg: float) -> str:
    return "can’t be told" if isinf(unsure_deg) else f"±{asked.say.degrees(unsure_deg)}"


def _side(asked: Asked, way: str, value: float) -> str:
    side = _CAME_BACK[way][value < 0].removeprefix("rolled ").removeprefix("pointing ")
    return f"{_turn(asked, abs(value))} {side}"


def crop_facts(asked: Asked) -> Block | None:
    """Tell what a later crop costs if the camera is left as it is."""
    say, room = asked.say, asked.shoot.remounting
    crop = room.crop
    if not known(crop) or need(room.looks_swapped):
        return None
    if crop is None:
        return Text("Left as it is, no crop hides it: the two pictures don't share a middle.", FAILS)
    how = workings.crop_how(asked, crop)
    if not crop.picture_lost:
        return Facts([Fact("Left as it is", "nothing to crop", how=how)])
    lost = f"{say.percent(crop.picture_lost)} of the picture goes"
    return Facts([Fact("Left as it is, cropped to", f"{crop.width_px}×{crop.height_px}", lost, how)])


def tolerance_facts(asked: Asked) -> Facts | None:
    """Show how exactly the camera has to be put back."""
    found, say = or_none(asked.shoot.remounting.tolerances), asked.say
    if found is None:
        return None
    turns = (("Pan", found.pan_at_corner), ("Tilt", found.tilt_at_corner), ("Roll", found.roll_at_corner))
    rows = [
        Fact(name, f"±{say.degrees(turn.turn_deg)}", _at_arm(say, turn), workings.tolerance_how(asked, name, turn))
        for name, turn in turns
    ]
    if found.sideways_mm is not None:
        at = f"for what stands at {say.metres(need(asked.shoot.view.distance_m))}"
        rows.append(Fact("Sideways", f"±{say.unit(found.sideways_mm, 'mm')}", at, workings.aside_how(asked)))
    return Facts(rows, f"What moves it {say.unit(need(asked.shoot.remounting.limit_px), 'px')} where it moves most")


def _at_arm(say: Say, turn: TurnTolerance) -> str:
    parts = []
    if turn.arm_mm is not None:
        parts.append(f"{say.unit(turn.arm_mm, 'mm', 2)} at the arm")
    if turn.screw_turns is not None:
        parts.append(f"{say.figures(turn.screw_turns, 2)} of a turn")
    return ", ".join(parts)


def small_moves(asked: Asked) -> Facts | None:
    """Show how far a small turn or shift moves the picture."""
    say, room = asked.say, asked.shoot.remounting
    turned, sideways_px = or_none(room.turned), or_none(room.sideways_px)
    if turned is None:
        return None
    how = workings.moved_how(asked)
    rows = [_moved(say, name, moved, how) for name, moved in (("Pan", turned.pan), ("Tilt", turned.tilt))]
    rows.append(Fact("Roll", _px(say, turned.roll.corner_px), "at a corner", how))
    if sideways_px is not None:
        what = f"what stands at {say.metres(need(asked.shoot.view.distance_m))}"
        label, how = f"{say.unit(need(room.shift_mm), 'mm')} sideways", (workings.sideways_working(asked),)
        rows.append(Fact(label, _px(say, sideways_px), what, how))
    return Facts(rows, f"What a turn of {say.degrees(need(room.turned_deg))} does")


def _moved(say: Say, name: str, moved: Shift, how: How) -> Fact:
    return Fact(name, _px(say, moved.centre_px), f"in the middle; edge {_px(say, moved.edge_px)}", how)


def _px(say: Say, value: float | None) -> str:
    return "out of view" if value is None else say.unit(value, "px", 2)


def parallax_text(asked: Asked) -> Text | None:
    """Say what neither turning nor cropping undoes."""
    say, room = asked.say, asked.shoot.remounting
    moved_px, values, limit_px = or_none(room.parallax_px), or_none(room.parallax_values), or_none(room.limit_px)
    if moved_px is None or values is None:
        return None
    far = "the horizon" if isinf(values["far_m"]) else say.metres(values["far_m"])
    near = say.metres(values["near_m"])
    tone = LOOK if limit_px is not None and moved_px > limit_px else ""
    return Text(
        f"What stands at {near} moves {_px(say, moved_px)} against {far}. No turn and no crop undoes that: put "
        "the foot back where it was.",
        tone,
    )


def small_print(asked: Asked) -> Points:
    """Say how to read positions, and what to mind."""
    say = asked.say
    items = [
        "Take three or more sharp, distant landmarks, far apart; two will do.",
        "A ball head turns about the camera’s own axes; a head with pan and tilt pans about the vertical.",
        "Left, right and clockwise are as seen from behind the camera.",
        "For a lens without distortion (or an equidistant one) whose axis goes through the middle.",
        ladder(say),
        falling_objects(),
        sun(),
        LOCAL_CODES,
    ]
    return Points("Reading positions; cautions", items, folded=True)
