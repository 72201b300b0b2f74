"""What does the picture cover?"""

from __future__ import annotations

from decimal import Decimal

from webcalc.calc.formula import work
from webcalc.calc.optics import framing
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.pictures.framing import crops_picture
from webcalc.web.questions.framing.case import FramingCase
from webcalc.web.shoot.optics import BY_ANGLE, BY_EQUIVALENT, BY_FOCAL, ShootOptics
from webcalc.web.words.answer import FAILS, LOOK, Answer, Fact, Facts, Picture, Points, Row, Table, Text
from webcalc.web.words.cautions import LOCAL_CODES, falling_objects, ladder, people_in_the_picture
from webcalc.web.words.say import Say

_KNOWN_BY_WORDS = {
    BY_ANGLE: "the typed angle of view",
    BY_FOCAL: "focal length and sensor",
    BY_EQUIVALENT: "the 35 mm equivalent",
}


def answer(asked: Asked) -> Answer:
    """Say what the picture covers, how large the subject is, what is sharp, and what the crops keep."""
    case, say = FramingCase(asked.inputs, asked.old.optics), asked.say
    reply = Answer(case.results(), needs=case.needs)
    _covered(case, say, reply)
    reply.notes.extend(optics_notes(case.optics))
    _wanted(case, asked, reply)
    _crops(case, say, reply)
    _sharp(case, say, reply)
    _ground(case, say, reply)
    _angles(case, say, reply)
    reply.add(_cautions(case, say))
    return reply


def optics_notes(optics: ShootOptics) -> list[str]:
    """Return sentences about how the angle of view came to be known."""
    found = []
    if optics.told_twice and optics.known_by:
        sensor = "; the typed sides of the sensor go before its format" if optics.inputs.has("sensor_mm") else ""
        found.append(f"Told in more than one way: {_KNOWN_BY_WORDS[optics.known_by]} is used{sensor}.")
    if optics.known_by == BY_EQUIVALENT:
        found.append(
            "The equivalent is taken for this picture's diagonal. Makers often state it for the whole sensor: then the "
            "picture shows less."
        )
    if optics.stands_upright:
        found.append("The picture is taller than wide: the camera is taken as turned upright.")
    return found


def _covered(case: FramingCase, say: Say, reply: Answer) -> None:
    """Give the width covered; while there is no distance, the angle."""
    if case.view is None:
        return
    reply.working.extend(case.optics.workings())
    if case.covered_m is None:
        reply.figure, reply.tone = say.degrees(case.view.hfov_deg), LOOK
        reply.sentence = "is the angle of view across the picture."
        return
    width_m, height_m = case.covered_m
    reply.figure = f"{say.metres(width_m)} wide"
    reply.sentence = f"is covered at {say.metres(case.distance_m)}, {say.metres(height_m)} high."
    reply.working.append(work(framing.covered_m, distance_m=case.distance_m, angle_deg=case.view.hfov_deg))
    found = case.coverage
    if found is None:
        return
    reply.working.append(work(framing.px_per_m, side_px=case.shape[0], covered_m=width_m))
    rows = [Fact("Detail", say.px_per_metre(found.px_per_m), f"1 px is {say.unit(1000 / found.px_per_m, 'mm')}")]
    if found.subject_px is not None:
        share = say.percent(found.subject_share)
        rows.insert(0, Fact("Subject", f"{say.unit(found.subject_px, 'px', 2)} high", f"{share} of the picture"))
        if found.subject_share > 1:
            reply.tone = FAILS
            reply.sentence += f" The subject doesn't fit: it is {share} of the picture's height."
        else:
            reply.sentence += f" The subject fills {share} of the height."
    reply.add(Facts(rows))


def _wanted(case: FramingCase, asked: Asked, reply: Answer) -> None:
    """Tell the lens for the wanted width, with a step to it."""
    say, wanted = asked.say, case.wanted
    if wanted is None:
        return
    angle = say.degrees(wanted.hfov_deg)
    width = say.metres(wanted.width_m)
    low, high = (getattr(QUANTITIES["focal_mm"].kind, end) for end in ("low", "high"))
    if wanted.focal_mm is None:
        reply.add(Facts([Fact(f"For {width} across", angle, "angle of view")]))
        reply.working.append(
            work(framing.hfov_for_width_deg, distance_m=case.distance_m, wanted_width_m=wanted.width_m)
        )
        return
    focal = say.unit(wanted.focal_mm, "mm")
    reply.add(Facts([Fact(f"For {width} across", focal, f"focal length; {angle}")]))
    reply.working.append(
        work(
            framing.focal_for_width_mm,
            sensor_width_mm=case.optics.area.width_mm,
            distance_m=case.distance_m,
            wanted_width_m=wanted.width_m,
        )
    )
    # A hundredth of a millimetre is finer than any lens is marked, and two figures of the shortest one.
    typed = round(Decimal(wanted.focal_mm), 2)
    if low <= typed <= high and typed != asked.inputs.get("focal_mm"):
        others = {name: None for name in (BY_ANGLE, BY_EQUIVALENT) if asked.inputs.has(name)}
        href = asked.url("framing", focal_mm=typed, **others)
        reply.add(Text("", href=href, link_words=f"Look at {focal}"))


def _crops(case: FramingCase, say: Say, reply: Answer) -> None:
    """Draw the crops, say what each keeps, and list their sizes."""
    if not case.crops:
        return
    picture = crops_picture(*case.shape, case.crops)
    reply.add(Picture("Crops in the frame", picture, "Each keeps the middle, as in the table."))
    covers = [case.crop_covers_m(crop) for crop in case.crops]
    rows = [
        Row(
            (
                crop.ratio,
                f"{crop.width_px}×{crop.height_px}",
                _kept_words(crop, say),
                *([f"{say.metres_number(size[0], 2)}×{say.metres_number(size[1], 2)}"] if size else []),
            )
        )
        for crop, size in zip(case.crops, covers, strict=True)
    ]
    head = ("Crop", "Pixels", "Kept", *([say.metres_name] if covers[0] else []))
    reply.add(Table("What each crop leaves", head, rows))


def _kept_words(crop: framing.Crop, say: Say) -> str:
    """Tell how much of which side a crop keeps; of the other one it keeps all, but for a pixel."""
    if crop.picture_share == 1:
        return "all"
    across = crop.width_share < crop.height_share
    return f"{say.percent(min(crop.width_share, crop.height_share))} {'wide' if across else 'high'}"


def _sharp(case: FramingCase, say: Say, reply: Answer) -> None:
    """Tell hyperfocal distance and limits of sharp focus, with the circle of confusion they rest on."""
    values = case.sharpness_values
    if values is None:
        if case.inputs.has("aperture") and case.view is not None:
            reply.notes.append("What is sharp needs the sensor too.")
        return
    typed = case.inputs.has("coc_mm")
    circle = say.unit(values["coc_mm"], "mm", 2)
    rows = []
    if case.sharpness is not None:
        sharp = case.sharpness
        limits = {"distance_m": case.distance_m, **values}
        focused = f"Focused at {say.metres(case.distance_m)}"
        rows.append(Fact(focused, f"{say.metres(sharp.near_m)} to {say.reach(sharp.far_m)}"))
        reply.working.append(work(framing.near_limit_m, **limits))
        if sharp.far_m is not None:
            reply.working.append(work(framing.far_limit_m, **limits))
    elif case.distance_m is not None:
        reply.notes.append("This lens can't be focused nearer than its focal length.")
    hyperfocal = say.metres(case.hyperfocal_m)
    rows.append(Fact(f"Focused at {hyperfocal}", f"{say.metres(case.hyperfocal_m / 2)} to ∞", "hyperfocal distance"))
    convention = "as typed" if typed else "diagonal / 1500, a convention"
    rows.append(Fact("Circle of confusion", circle, convention))
    reply.working.append(work(framing.hyperfocal_m, **values))
    reply.add(Facts(rows, "What is sharp"))


def _ground(case: FramingCase, say: Say, reply: Answer) -> None:
    """Tell what of level ground is in the picture."""
    if not case.asks_ground:
        return
    found = case.ground
    if found is None:
        reply.add(Text("No level ground is in the picture: it looks above it.", LOOK))
        return
    near = say.metres(abs(found.near_m)) + (" behind" if found.near_m < 0 else "")
    rows = [Fact("Near edge", near, f"{say.metres(found.near_width_m)} wide there")]
    if case.axis_ground_m is not None:
        rows.append(Fact("Middle of the picture", say.metres(case.axis_ground_m)))
    if found.far_m is None:
        rows.append(Fact("Far edge", "∞", "the horizon is in the picture"))
    else:
        rows.append(Fact("Far edge", say.metres(found.far_m), f"{say.metres(found.far_width_m)} wide there"))
    reply.add(Facts(rows, "Level ground, from the foot"))
    height_m, depression_deg = float(case.inputs.get("camera_m")), case.view.vfov_deg / 2 - case.tilt_deg
    reply.working.append(work(framing.ground_distance_m, camera_height_m=height_m, depression_deg=depression_deg))


def _angles(case: FramingCase, say: Say, reply: Answer) -> None:
    """Tell the three angles, and the lens in both ways of naming it."""
    if case.view is None:
        return
    view, optics = case.view, case.optics
    angles = f"{say.degrees(view.hfov_deg)} × {say.degrees(view.vfov_deg)}"
    rows = [Fact("Angles of view", angles, f"{say.degrees(view.dfov_deg)} corner to corner")]
    equivalent = f"35 mm equivalent {say.unit(optics.focal_eq_mm, 'mm')}"
    rows.append(Fact("Focal length", say.unit(optics.focal_mm, "mm"), equivalent))
    if optics.area is not None:
        area = f"{say.figures(optics.area.width_mm)} × {say.unit(optics.area.height_mm, 'mm')}"
        rows.append(Fact("Sensor", area, "as used, nominal"))
    reply.add(Facts(rows))
    reply.notes.append("For a lens without distortion; most wide ones see a little more.")


def _cautions(case: FramingCase, say: Say) -> Points | None:
    """Return what to mind where a camera hangs high and looks at people."""
    if case.view is None:
        return None
    high = [ladder(say), falling_objects()] if case.inputs.has("camera_m") else []
    return Points("Cautions", [*high, people_in_the_picture(), LOCAL_CODES], folded=True)


FRAMING = Page(
    "framing",
    "Framing",
    "What does the picture cover?",
    ("sensor", "focal_mm", "distance_m", "subject_m"),
    answer,
    (
        Group("Other ways to know the view", ("hfov", "focal_eq_mm", "sensor_mm", "size")),
        Group("Height and tilt", ("camera_m", "tilt")),
        Group("Sharpness, lens for a width", ("aperture", "coc_mm", "width_m")),
    ),
    # Another shape of picture than the sensor's would crop the view without anybody having asked for it.
    without_usual=frozenset({"size"}),
    moment="mast",
    parts=(),
)
