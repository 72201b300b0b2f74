"""The page ``/remount`` in words: what to turn back, how sure that is, what is tolerable, what a crop costs."""

from __future__ import annotations

from math import isinf

from webcalc.calc.optics.putting_back import UNDO
from webcalc.calc.optics.remount import Shift, TurnTolerance
from webcalc.calc.unknown import known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import FAILS, LOOK, Block, Fact, Facts, Points, Text
from webcalc.web.words.cautions import LOCAL_CODES, falling_objects, ladder, sun
from webcalc.web.words.say import Say

#: How it came back: with a positive value, with a negative one.
_CAME_BACK = {
    "roll_deg": ("rolled clockwise", "rolled counter-clockwise"),
    "tilt_deg": ("pointing up", "pointing down"),
    "pan_deg": ("pointing right", "pointing left"),
}


def undo_words(asked: Asked) -> str:
    """Write the turns that bring the camera back, roll first: ``Roll clockwise 0.2°, then turn right 0.4°.``"""
    turns = need(asked.shoot.remounting.turns)
    text = ", then ".join(f"{UNDO[way][value < 0]} {asked.say.degrees(abs(value))}" for way, value in turns)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def happened_words(asked: Asked) -> str:
    """Write how the camera came back: ``It came back pointing left, rolled clockwise.``"""
    found = [_CAME_BACK[way][value < 0] for way, value in reversed(need(asked.shoot.remounting.turns))]
    return f"It came back {', '.join(found)}." if found else ""


def found_blocks(asked: Asked) -> list[Block]:
    """Show the error with how sure it is, and what turning can't explain."""
    say, room = asked.say, asked.shoot.remounting
    found, fixed = or_none(room.error), or_none(room.found_fixed)
    if found is None:
        return []
    if need(room.looks_swapped):
        get = asked.inputs.get
        href = asked.url("remount", now1=get("now2"), now2=get("now1"))
        return [Text("", href=href, link_words="Swap the landmarks in the fresh frame")]
    error, unsure = found.error, found.uncertainty
    rows = [
        Fact("Roll", _side(say, "roll_deg", error.roll_deg), f"±{say.degrees(unsure.roll_deg)}"),
        Fact("Tilt", _side(say, "tilt_deg", error.tilt_deg), f"±{say.degrees(unsure.tilt_deg)}"),
        Fact("Pan", _side(say, "pan_deg", error.pan_deg), f"±{say.degrees(unsure.pan_deg)}"),
        Fact("Zoom", f"×{say.number(error.zoom, 4)}", f"±{say.percent(unsure.zoom)}"),
    ]
    if fixed is not None:
        rows.append(Fact("Miss with a fixed zoom", say.unit(fixed.residual_px, "px", 2), "by turning alone"))
    readings = say.unit(found.reading_px, "px")
    blocks: list[Block] = [Facts(rows, f"How it came back, if all is read to {readings}")]
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


def _side(say: Say, way: str, value: float) -> str:
    side = _CAME_BACK[way][value < 0].removeprefix("rolled ").removeprefix("pointing ")
    return f"{say.degrees(abs(value))} {side}"


def crop_facts(asked: Asked) -> Block | None:
    """Tell what a later crop costs if the camera is left as it is."""
    say, room = asked.say, asked.shoot.remounting
    crop = room.crop
    if not known(crop) or need(room.looks_swapped):
        return None
    if crop is None:
        return Text("Left as it is, no crop hides it: the two pictures don't share a middle.", FAILS)
    if not crop.picture_lost:
        return Facts([Fact("Left as it is", "nothing to crop")])
    lost = f"{say.percent(crop.picture_lost)} of the picture goes"
    return Facts([Fact("Left as it is, cropped to", f"{crop.width_px}×{crop.height_px}", lost)])


def tolerance_facts(asked: Asked) -> Facts | None:
    """Show how exactly the camera has to be put back."""
    found, say = or_none(asked.shoot.remounting.tolerances), asked.say
    if found is None:
        return None
    turns = (("Pan", found.pan_at_edge), ("Tilt", found.tilt_at_edge), ("Roll", found.roll_at_corner))
    rows = [Fact(name, f"±{say.degrees(turn.turn_deg)}", _at_arm(say, turn)) for name, turn in turns]
    if found.sideways_mm is not None:
        at = f"for what stands at {say.metres(need(asked.shoot.view.distance_m))}"
        rows.append(Fact("Sideways", f"±{say.unit(found.sideways_mm, 'mm')}", at))
    return Facts(rows, f"What moves it {say.unit(found.limit_px, 'px')} where it moves most")


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
    rows = [_moved(say, name, moved) for name, moved in (("Pan", turned.pan), ("Tilt", turned.tilt))]
    rows.append(Fact("Roll", _px(say, turned.roll.corner_px), "at a corner"))
    if sideways_px is not None:
        what = f"what stands at {say.metres(need(asked.shoot.view.distance_m))}"
        rows.append(Fact(f"{say.unit(need(room.shift_mm), 'mm')} sideways", _px(say, sideways_px), what))
    return Facts(rows, f"What a turn of {say.degrees(need(room.turned_deg))} does")


def _moved(say: Say, name: str, moved: Shift) -> Fact:
    return Fact(name, _px(say, moved.centre_px), f"in the middle; edge {_px(say, moved.edge_px)}")


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
        "Take two sharp, distant landmarks, far apart. Pan is about the camera's own upright axis, not the mast's.",
        "With the zoom free two landmarks always fit: what is left is then near 0 and shows nothing.",
        "For a lens without distortion whose axis goes through the middle.",
        ladder(say),
        falling_objects(),
        sun(),
        LOCAL_CODES,
    ]
    return Points("Reading positions; cautions", items, folded=True)
