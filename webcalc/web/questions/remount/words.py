"""The page ``/remount`` in words: what to turn back, how sure that is, what is tolerable, what a crop costs."""

from __future__ import annotations

from decimal import Decimal
from math import isinf

from webcalc.calc.formula import Working, work
from webcalc.calc.optics import remount
from webcalc.calc.optics import view as viewing
from webcalc.calc.optics.landmarks import UNDO, Remount
from webcalc.calc.optics.remount import HidingCrop, Point, Shift, TurnTolerance
from webcalc.calc.unknown import known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import FAILS, LOOK, Block, Fact, Facts, Points, Row, Table, Text
from webcalc.web.words.cautions import FALLING_OBJECTS, LOCAL_CODES, SUN_IN_LENS, ladder
from webcalc.web.words.say import Say
from webcalc.web.words.working import How


def turn_how(say: Say, found: Remount) -> How:
    """Say how a turn was found, and how sure it is."""
    return (
        f"The turn, {'the zoom as it was' if found.zoom_fixed else 'with the zoom left free'}, that brings "
        f"{say.count(len(found.misses_px), 'landmark')} nearest to where they are now, by least squares; ± if each "
        f"position is off by {say.unit(found.reading_px, 'px')} in the worst way.",
    )


def misses_how(say: Say, found: Remount) -> How:
    """Tell by how much each landmark is missed."""
    misses = "; ".join(say.unit(miss, "px", 2) for miss in found.misses_px)
    return (f"The largest of the landmarks’ distances from where the turn puts them: {misses}.",)


def crop_how(asked: Asked, crop: HidingCrop | None) -> How:
    """Say what a crop is cut from."""
    wide, high = need(asked.shoot.view.size_px)
    left = f", {crop.width_px} × {crop.height_px} of {wide} × {high} px" if crop and crop.picture_lost else ""
    return (f"The largest middle part that both frames hold, the new one turned back{left}.",)


def focal_working(asked: Asked) -> Working:
    """Show the focal length in pixels."""
    picture = need(asked.shoot.remounting.picture)
    focal_px = viewing.equidistant_focal_px if picture.equidistant else viewing.focal_px
    return work(focal_px, width_px=picture.width_px, hfov_deg=picture.hfov_deg)


def roll_working(asked: Asked) -> Working:
    """Show which roll moves a corner by what is allowed."""
    picture, limit_px = need(asked.shoot.remounting.picture, asked.shoot.remounting.limit_px)
    return work(remount.roll_tolerance_deg, limit_px=limit_px, radius_px=picture.corner_radius_px)


def tolerance_how(asked: Asked, name: str, turn: TurnTolerance) -> How:
    """Say how much of a turn is allowed, at an arm and at a screw too."""
    shoot, say = asked.shoot, asked.say
    limit = say.unit(need(shoot.remounting.limit_px), "px")
    at_most = f"The smallest that moves a corner or an edge by {limit}: every point turned and drawn anew."
    how: list[Working | str] = [roll_working(asked)] if name == "Roll" else [focal_working(asked), at_most]
    arm_length_mm, pitch_mm = or_none(shoot.arm_mm), or_none(shoot.pitch_mm)
    if turn.arm_mm is not None and arm_length_mm is not None:
        how.append(work(remount.arm_mm, arm_length_mm=float(arm_length_mm), turn_deg=turn.turn_deg))
    if turn.screw_turns is not None and turn.arm_mm is not None and pitch_mm is not None:
        how.append(work(remount.screw_turns, arm_mm=turn.arm_mm, pitch_mm=float(pitch_mm)))
    return tuple(how)


def aside_how(asked: Asked) -> How:
    """Show which shift sideways is allowed."""
    picture, limit_px = need(asked.shoot.remounting.picture, asked.shoot.remounting.limit_px)
    values = {"limit_px": limit_px, "distance_m": need(asked.shoot.view.distance_m)}
    return (work(remount.sideways_tolerance_mm, focal_px=picture.focal_px, **values),)


def moved_how(asked: Asked) -> How:
    """Say how far a small turn moves the picture."""
    turn = asked.say.degrees(need(asked.shoot.remounting.turned_deg))
    return (focal_working(asked), f"Points turned by {turn} and drawn anew; at edge or corner the one that moves most.")


def sideways_working(asked: Asked) -> Working:
    """Show how far a shift sideways moves what stands at the distance."""
    shift_mm, distance_m = need(asked.shoot.remounting.shift_mm, asked.shoot.view.distance_m)
    values = {"shift_mm": shift_mm, "distance_m": distance_m}
    return work(remount.sideways_px, focal_px=focal_working(asked).result, **values)


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
    return asked.step("Take them at the reference’s size", "remount", **stretched)


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
        return [asked.step("Swap the landmarks in the fresh frame", "remount", now1=get("now2"), now2=get("now1"))]
    told = or_none(room.error) or found
    error, unsure, by_turn = told.error, told.uncertainty, turn_how(say, told)
    rows = [
        Fact(name, _side(asked, way, getattr(error, way)), _within(asked, getattr(unsure, way)), by_turn)
        for way, name in _TURN_NAMES.items()
    ]
    if found.zoom_fixed:
        missed, how = say.unit(found.residual_px, "px", 2), misses_how(say, found)
        rows.append(Fact("Missed by", missed, "at most, with the zoom as it was", how))
    if free is not None:
        within = "can’t be told" if isinf(free.uncertainty.zoom) else f"±{say.percent(free.uncertainty.zoom)}"
        zoom, how = f"×{say.number(free.error.zoom, 4)}", turn_how(say, free)
        rows.append(Fact("Zoom, if it may have changed", zoom, within, how))
    if fixed is not None and not found.zoom_fixed:
        missed, how = say.unit(fixed.residual_px, "px", 2), misses_how(say, fixed)
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
    how = crop_how(asked, crop)
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
        Fact(name, f"±{say.degrees(turn.turn_deg)}", _at_arm(say, turn), tolerance_how(asked, name, turn))
        for name, turn in turns
    ]
    if found.sideways_mm is not None:
        at = f"for what stands at {say.metres(need(asked.shoot.view.distance_m))}"
        rows.append(Fact("Sideways", f"±{say.unit(found.sideways_mm, 'mm')}", at, aside_how(asked)))
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
    how = moved_how(asked)
    rows = [_moved(say, name, moved, how) for name, moved in (("Pan", turned.pan), ("Tilt", turned.tilt))]
    rows.append(Fact("Roll", _px(say, turned.roll.corner_px), "at a corner", how))
    if sideways_px is not None:
        what = f"what stands at {say.metres(need(asked.shoot.view.distance_m))}"
        label, how = f"{say.unit(need(room.shift_mm), 'mm')} sideways", (sideways_working(asked),)
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
        FALLING_OBJECTS,
        SUN_IN_LENS,
        LOCAL_CODES,
    ]
    return Points("Reading positions; cautions", items, folded=True)
