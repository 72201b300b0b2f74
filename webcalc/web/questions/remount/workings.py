"""How the figures of the page ``/remount`` come about, with the picture's own numbers."""

from __future__ import annotations

from webcalc.calc.formula import Working, work
from webcalc.calc.optics import remount
from webcalc.calc.optics import view as viewing
from webcalc.calc.optics.landmarks import Remount
from webcalc.calc.optics.remount import HidingCrop, TurnTolerance
from webcalc.calc.unknown import need, or_none
from webcalc.web.http.page import Asked
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
