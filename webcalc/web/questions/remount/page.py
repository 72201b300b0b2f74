"""How do I put it back?"""

from __future__ import annotations

from webcalc.calc.formula import work
from webcalc.calc.optics import remount
from webcalc.calc.optics.landmarks import LEAST_APART_SHARE
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.framing import optics_notes
from webcalc.web.questions.remount import words
from webcalc.web.questions.remount.case import RemountCase
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Text


def answer(asked: Asked) -> Answer:
    """Say what to undo, how exactly, and what a later crop would cost."""
    case = RemountCase(asked)
    undo = words.undo_steps(case) if case.found else None
    reply = Answer({**case.results(), "undo": undo}, needs=case.needs, notes=optics_notes(case.optics))
    if case.picture is None:
        return reply
    if case.found is not None:
        _verdict(case, reply)
    elif case.landmarks is None:
        _tolerance_first(case, reply)
    else:
        _no_error(case, reply)
    reply.add(*words.found_blocks(case), words.crop_facts(case), words.tolerance_facts(case), words.small_moves(case))
    reply.add(words.parallax_text(case), words.small_print(case))
    _workings(case, reply)
    return reply


def _verdict(case: RemountCase, reply: Answer) -> None:
    """Tell how far off the picture is, and the turns that bring it back."""
    say, limit_px = case.asked.say, case.limit_px
    if case.looks_swapped:
        reply.figure, reply.tone = "swapped?", LOOK
        reply.sentence = "The camera would have rolled half round: landmark 1 now is more likely landmark 2."
        return
    reply.figure = "out of view" if case.moved_px is None else f"{say.unit(case.moved_px, 'px', 2)} off"
    if case.shows_nothing:
        fine = limit_px is not None and case.reading_px is not None and case.reading_px <= limit_px
        reply.tone = HOLDS if fine else LOOK
        advice = "Leave it." if fine else "Read the positions more exactly to know."
        reply.sentence = f"at most, which is no more than these readings can tell. {advice}"
    elif case.moved_px is not None and limit_px is not None and case.moved_px <= limit_px:
        reply.tone = HOLDS
        reply.sentence = f"at most, within the {say.unit(limit_px, 'px')} allowed. Leave it."
    else:
        reply.tone = LOOK
        undo, happened = words.undo_words(case), words.happened_words(case)
        more = "Zoom or standpoint changed too." if case.is_elsewhere else ""
        reply.sentence = " ".join(filter(None, (undo, happened, more)))


def _no_error(case: RemountCase, reply: Answer) -> None:
    """Tell why no error was found."""
    if case.outside:
        labels = ", ".join(QUANTITIES[name].label for name in case.outside)
        wide, high = case.optics.size_px or (0, 0)
        reply.add(Text(f"Not in a picture of {wide}×{high} px: {labels}.", FAILS))
    elif case.too_close:
        share = case.asked.say.percent(LEAST_APART_SHARE)
        reply.add(Text(f"The landmarks are less than {share} of the width apart: take two that are far apart.", FAILS))
    elif case.can_search:
        reply.figure, reply.tone = "not turned", FAILS
        reply.sentence = (
            "No turning explains where the landmarks are now. Look at which is which, or whether the mast moved."
        )


def _tolerance_first(case: RemountCase, reply: Answer) -> None:
    """Give the tolerance while there are no landmarks."""
    say, found = case.asked.say, case.tolerances
    if found is None:
        return
    turn_deg = min(turn.turn_deg for turn in (found.pan_at_edge, found.tilt_at_edge, found.roll_at_corner))
    reply.figure = say.degrees(turn_deg)
    reply.sentence = f"off moves the picture by {say.unit(found.limit_px, 'px')} somewhere. Put it back as exactly."


def _workings(case: RemountCase, reply: Answer) -> None:
    """Show the arithmetic of the tolerances and of a sideways shift."""
    assert case.picture is not None  # noqa: S101 - the caller has looked
    focal = work(remount.focal_px, width_px=case.picture.width_px, hfov_deg=case.picture.hfov_deg)
    reply.working.extend([*case.optics.workings(), focal])
    found = case.tolerances
    if found is not None:
        turn = {"limit_px": found.limit_px, "focal_px": focal.result, "half_side_px": case.picture.width_px / 2}
        reply.working.append(work(remount.turn_tolerance_deg, **turn))
        radius_px = case.picture.corner_radius_px
        reply.working.append(work(remount.roll_tolerance_deg, limit_px=found.limit_px, radius_px=radius_px))
    if case.sideways_px is not None:
        values = {"shift_mm": case.shift_mm, "distance_m": case.distance_m}
        reply.working.append(work(remount.sideways_px, focal_px=focal.result, **values))
    if case.parallax_values is not None and case.inputs.has("far_m"):
        reply.working.append(work(remount.parallax_px, **case.parallax_values))


REMOUNT = Page(
    "remount",
    "Put it back",
    "How do I put it back?",
    ("ref1", "now1", "ref2", "now2"),
    answer,
    (
        Group("Picture and lens", ("size", "sensor", "focal_mm", "hfov")),
        Group("Exactness", ("limit_px", "reading_px", "arm_mm", "pitch_mm")),
        Group("Small moves", ("turned", "shift_mm", "distance_m", "near_m", "far_m")),
    ),
    moment="mast",
    parts=(),
)
