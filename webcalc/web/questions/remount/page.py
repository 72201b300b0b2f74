"""How do I put it back?"""

from __future__ import annotations

from webcalc.calc.formula import work
from webcalc.calc.optics import remount
from webcalc.calc.optics.landmarks import LEAST_APART_SHARE
from webcalc.calc.optics.putting_back import MOST_LANDMARKS
from webcalc.calc.optics.remount_results import RemountResults, remount_results
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.framing import optics_notes
from webcalc.web.questions.remount import words
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Text, unknown_names
from webcalc.web.words.verdict import labels


def answer(asked: Asked) -> Answer:
    """Say what to undo, how exactly, and what a later crop would cost."""
    view, room = asked.shoot.view, asked.shoot.remounting
    needs = unknown_names(view.view, view.size_px, room.landmarks, room.head_tilt_deg)
    if or_none(room.head_matters):
        needs += ["head", *([] if known(room.tilt_deg) else ["tilt"])]
    reply = Answer(remount_results(asked.shoot), needs=needs, notes=optics_notes(view))
    if not known(room.picture):
        return reply
    if known(room.in_camera_axes):
        _off(asked, reply)
    elif not known(room.landmarks):
        _tolerance_first(asked, reply)
    else:
        _no_error(asked, reply)
    reply.add(words.steps_table(asked), *words.found_blocks(asked), words.crop_facts(asked))
    reply.add(words.tolerance_facts(asked))
    reply.add(words.small_moves(asked), words.parallax_text(asked), words.small_print(asked))
    _workings(asked, reply)
    return reply


def _off(asked: Asked, reply: Answer) -> None:
    """Tell how far off the picture is, and the turns that bring it back."""
    say, room = asked.say, asked.shoot.remounting
    limit_px, moved_px, reading_px = or_none(room.limit_px), need(room.moved_px), need(room.reading_px)
    if need(room.looks_swapped):
        told = "The camera would have rolled half round: landmark 1 now is more likely landmark 2."
        reply.head("swapped?", LOOK, told)
        return
    reply.figure = "out of view" if moved_px is None else f"{say.unit(moved_px, 'px', 2)} off"
    if need(room.shows_nothing):
        fine = limit_px is not None and reading_px <= limit_px
        reply.tone = HOLDS if fine else LOOK
        advice = "Leave it." if fine else "Read the positions more exactly to know."
        reply.sentence = f"at most, which is no more than these readings can tell. {advice}"
    elif moved_px is not None and limit_px is not None and moved_px <= limit_px:
        reply.tone = HOLDS
        reply.sentence = f"at most, within the {say.unit(limit_px, 'px')} allowed. Leave it."
    else:
        reply.tone = LOOK
        reply.sentence = words.put_back_words(asked)


def _no_error(asked: Asked, reply: Answer) -> None:
    """Tell why no error was found."""
    room = asked.shoot.remounting
    if room.outside:
        wide, high = need(asked.shoot.view.size_px)
        reply.add(Text(f"Not in a picture of {wide}×{high} px: {labels(tuple(room.outside))}.", FAILS))
    elif need(room.too_close):
        share = asked.say.percent(LEAST_APART_SHARE)
        reply.add(Text(f"The landmarks are less than {share} of the width apart: take two that are far apart.", FAILS))
    elif (stretch := or_none(room.resized_by)) is not None:
        reply.figure, reply.tone = "another size?", LOOK
        wide, high = need(asked.shoot.view.size_px)
        reply.sentence = (
            f"The fresh picture seems to be {asked.say.figures(1 / stretch, 3)} times the size of the reference. "
            f"Positions are to be read at {wide}×{high} px."
        )
        reply.add(words.stretch_step(asked, stretch))
    elif room.explained is False:
        told = "No turning explains where the landmarks are now. Look at which is which, or whether the mast moved."
        reply.head("not turned", FAILS, told)
        reply.add(words.worst_landmark(asked))


def _tolerance_first(asked: Asked, reply: Answer) -> None:
    """Give the tolerance while there are no landmarks."""
    say, found = asked.say, or_none(asked.shoot.remounting.tolerances)
    if found is None:
        return
    turn_deg = min(turn.turn_deg for turn in (found.pan_at_corner, found.tilt_at_corner, found.roll_at_corner))
    reply.figure = say.degrees(turn_deg)
    limit = say.unit(need(asked.shoot.remounting.limit_px), "px")
    reply.sentence = f"off moves the picture by {limit} somewhere. Put it back as exactly."


def _workings(asked: Asked, reply: Answer) -> None:
    """Show the arithmetic of the tolerances and of a sideways shift."""
    shoot, room = asked.shoot, asked.shoot.remounting
    parallax = or_none(room.parallax_values)
    reply.working.extend([*shoot.view.workings(), words.focal_working(asked)])
    if known(room.tolerances):
        reply.working.append(words.roll_working(asked))
    if known(room.sideways_px):
        reply.working.append(words.sideways_working(asked))
    if parallax is not None and given(shoot.far_m):
        reply.working.append(work(remount.parallax_px, **parallax))


REMOUNT = Page(
    "remount",
    "Put it back",
    "How do I put it back?",
    ("ref1", "now1", "ref2", "now2"),
    answer,
    (
        Group("Head", ("head", "tilt")),
        Group("More landmarks", tuple(f"{frame}{n}" for n in range(3, MOST_LANDMARKS + 1) for frame in ("ref", "now"))),
        Group("Picture and lens", ("size", "sensor", "focal_mm", "hfov", "projection")),
        Group("Exactness", ("limit_px", "reading_px", "arm_mm", "pitch_mm")),
        Group("Small moves", ("turned", "shift_mm", "distance_m", "near_m", "far_m")),
    ),
    moment="mast",
    parts=(),
    results=RemountResults,
    scripts=("exif.js", "putback.js"),
)
