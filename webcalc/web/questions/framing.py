"""What does the picture cover?"""

from __future__ import annotations

from decimal import Decimal

from webcalc.calc.formula import Working, work
from webcalc.calc.optics import framing
from webcalc.calc.optics import view as viewing
from webcalc.calc.optics.results import CropResults, FramingResults, framing_results
from webcalc.calc.optics.shoot import BY_ANGLE, BY_EQUIVALENT, BY_FOCAL, ShootView
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.pictures.framing import crops_picture
from webcalc.web.words.answer import FAILS, LOOK, Answer, Fact, Facts, Picture, Points, Row, Table, Text, unknown_names
from webcalc.web.words.cautions import FALLING_OBJECTS, LOCAL_CODES, PEOPLE_IN_THE_PICTURE, ladder
from webcalc.web.words.say import Say
from webcalc.web.words.working import How, picked

_KNOWN_BY_WORDS = {
    BY_ANGLE: "the typed angle of view",
    BY_FOCAL: "focal length and sensor",
    BY_EQUIVALENT: "the 35 mm equivalent",
}


def answer(asked: Asked) -> Answer:
    """Say what the picture covers, how large the subject is, what is sharp, and what the crops keep."""
    view, found = asked.shoot.view, framing_results(asked.shoot)
    # A subject is asked for in pixels too, which takes the picture's size.
    reply = Answer(found, needs=unknown_names(view.view, view.distance_m, view.subject_px))
    _covered(asked, found, reply)
    reply.notes.extend(optics_notes(view))
    _wanted(asked, reply)
    _crops(asked, found, reply)
    _sharp(asked, reply)
    _ground(asked, reply)
    _angles(asked, reply)
    reply.add(_cautions(asked))
    return reply


def optics_notes(optics: ShootView) -> list[str]:
    """Return sentences about how the angle of view came to be known."""
    found: list[str] = []
    if not known(optics.known_by):
        return found
    if not known(optics.view) and optics.is_equidistant is True and known(getattr(optics.shoot, optics.known_by)):
        found.append("A fisheye that sees half the sky or more isn’t reckoned here.")
    if optics.told_twice:
        sensor = "; the typed sides of the sensor go before its format" if given(optics.shoot.sensor_mm) else ""
        found.append(f"Told in more than one way: {_KNOWN_BY_WORDS[optics.known_by]} is used{sensor}.")
    if optics.known_by == BY_EQUIVALENT:
        found.append(
            "The equivalent is taken for this picture's diagonal. Makers often state it for the whole sensor: then the "
            "picture shows less."
        )
    if or_none(optics.seldom_rectilinear):
        found.append(
            "Beyond 100° few lenses draw straight lines straight, as is reckoned here: say if it is a fisheye."
        )
    if optics.stands_upright:
        found.append("The picture is taller than wide: the camera is taken as turned upright.")
    return found


def _covered(asked: Asked, found: FramingResults, reply: Answer) -> None:
    """Give the width covered; while there is no distance, the angle."""
    say, view = asked.say, asked.shoot.view
    if found.hfov_deg is None:
        return
    reply.working.extend(view.workings())
    if found.width_m is None:
        reply.head(say.degrees(found.hfov_deg), LOOK, "is the angle of view across the picture.")
        return
    distance_m = need(view.distance_m)
    reply.figure = f"{say.metres(found.width_m)} wide"
    if or_none(view.seldom_rectilinear) is not False:
        reply.tone = LOOK
    if not known(view.standing) and known(asked.shoot.subject_m) and "subject_m" in view.standing.wrong:
        words = "The subject would reach behind the camera: look at distance, height and tilt."
        reply.points.append(Text(words, FAILS))
    reply.sentence = f"is covered at {say.metres(distance_m)}, {say.metres(found.height_m)} high."
    reply.working.append(work(framing.covered_m, distance_m=distance_m, angle_deg=found.hfov_deg))
    rows = []
    if found.subject_share is not None:
        share = say.percent(found.subject_share)
        px = "" if found.subject_px is None else f"{say.unit(found.subject_px, 'px', 2)} high"
        more = f"{share} of the picture" if px else "of the picture’s height"
        rows.append(Fact("Subject", px or share, more, _subject_how(asked)))
        if found.subject_share > 1:
            reply.tone = FAILS
            reply.sentence += f" The subject doesn't fit: it is {share} of the picture's height."
        else:
            reply.sentence += f" The subject fills {share} of the height."
            if found.subject_in_picture is False:
                reply.tone = FAILS
                reply.sentence += " On level ground part of it is outside the picture: mind the tilt."
    if found.px_per_m is not None:
        side_px, in_middle = need(view.size_px)[0], ""
        if need(view.is_equidistant):
            values = {"width_px": side_px, "hfov_deg": found.hfov_deg, "distance_m": distance_m}
            reply.working.append(work(framing.middle_px_per_m, **values))
            in_middle = ", in the middle"
        else:
            reply.working.append(work(framing.px_per_m, side_px=side_px, covered_m=found.width_m))
        one_px = say.unit(1000 / found.px_per_m, "mm")
        how = picked(reply.working, framing.px_per_m, framing.middle_px_per_m)
        rows.append(Fact("Detail", say.px_per_metre(found.px_per_m), f"1 px is {one_px}{in_middle}", how))
    reply.add(Facts(rows) if rows else None)


def _subject_how(asked: Asked) -> How:
    """Say how high the subject stands in the picture."""
    say, view = asked.say, asked.shoot.view
    standing, seen, size = or_none(view.standing), need(view.view), or_none(view.size_px)
    if standing is None:
        return ()
    high = f"From foot to top {say.figures(standing.focal_lengths(seen))} focal lengths high in the picture"
    if size is None:
        return (f"{high}, which is {say.figures(2 * seen.half_height)} of them.",)
    px = say.unit(seen.focal_px(size[0]), "px")
    return (f"{high}, {px} each; by distance, height and tilt.",)


def _wanted(asked: Asked, reply: Answer) -> None:
    """Tell the lens for the wanted width, with a step to it."""
    say, view, wanted = asked.say, asked.shoot.view, or_none(asked.shoot.view.wanted)
    if wanted is None:
        return
    distance_m = need(view.distance_m)
    angle = say.degrees(wanted.hfov_deg)
    width = say.metres(wanted.width_m)
    low, high = (getattr(QUANTITIES["focal_mm"].kind, end) for end in ("low", "high"))
    if wanted.focal_mm is None:
        how = [work(framing.hfov_for_width_deg, distance_m=distance_m, wanted_width_m=wanted.width_m)]
        reply.add(Facts([Fact(f"For {width} across", angle, "angle of view", how)]))
        reply.working.extend(how)
        return
    focal, sensor_mm = say.unit(wanted.focal_mm, "mm"), need(view.area).width_mm
    covers = {"distance_m": distance_m, "wanted_width_m": wanted.width_m}
    if need(view.is_equidistant):
        side = work(viewing.equidistant_focal_mm, side_mm=sensor_mm, angle_deg=wanted.hfov_deg)
        how = [work(framing.hfov_for_width_deg, **covers), side]
    else:
        how = [work(framing.focal_for_width_mm, sensor_width_mm=sensor_mm, **covers)]
    reply.add(Facts([Fact(f"For {width} across", focal, f"focal length; {angle}", how)]))
    reply.working.extend(how)
    # A hundredth of a millimetre is finer than any lens is marked, and two figures of the shortest one.
    typed = round(Decimal(wanted.focal_mm), 2)
    if low <= typed <= high and typed != asked.inputs.get("focal_mm"):
        others = {name: None for name in (BY_ANGLE, BY_EQUIVALENT) if asked.inputs.has(name)}
        reply.add(asked.step(f"Look at {focal}", "framing", focal_mm=typed, **others))


def _crops(asked: Asked, found: FramingResults, reply: Answer) -> None:
    """Draw the crops, say what each keeps, and list their sizes."""
    say, crops = asked.say, or_none(asked.shoot.view.crops)
    if not crops:
        return
    picture = crops_picture(*need(asked.shoot.view.size_px), crops)
    reply.add(Picture("Crops in the frame", picture, "Each keeps the middle, as in the table."))
    in_metres = found.crops[0].width_m is not None
    rows = [
        Row(
            (
                crop.ratio,
                f"{crop.width_px}×{crop.height_px}",
                _kept_words(crop, say),
                *([f"{say.metres_number(crop.width_m, 2)}×{say.metres_number(crop.height_m, 2)}"] if in_metres else []),
            )
        )
        for crop in found.crops
    ]
    head = ("Crop", "Pixels", "Kept", *([say.metres_name] if in_metres else []))
    reply.add(Table("What each crop leaves", head, rows))


def _kept_words(crop: CropResults, say: Say) -> str:
    """Tell how much of which side a crop keeps; of the other one it keeps all, but for a pixel."""
    if crop.width_share == crop.height_share == 1:
        return "all"
    across = crop.width_share < crop.height_share
    return f"{say.percent(min(crop.width_share, crop.height_share))} {'wide' if across else 'high'}"


def _sharp(asked: Asked, reply: Answer) -> None:
    """Tell hyperfocal distance and limits of sharp focus, with the circle of confusion they rest on."""
    say, shoot, view = asked.say, asked.shoot, asked.shoot.view
    values = or_none(view.lens)
    if values is None:
        if given(shoot.aperture) and known(view.view):
            reply.notes.append("What is sharp needs the sensor too.")
        return
    rows, sharp, distance_m = [], view.sharpness, or_none(view.distance_m)
    if known(sharp) and sharp is not None and distance_m is not None:
        limits = {"distance_m": distance_m, **values}
        focused = f"Focused at {say.metres(distance_m)}"
        how = [work(framing.near_limit_m, **limits)]
        how += [work(framing.far_limit_m, **limits)] if sharp.far_m is not None else []
        rows.append(Fact(focused, f"{say.metres(sharp.near_m)} to {say.reach(sharp.far_m)}", how=how))
        reply.working.extend(how)
    elif distance_m is not None:
        reply.notes.append("This lens can't be focused nearer than its focal length.")
    hyperfocal_m = need(view.hyperfocal_m)
    sharp_from = f"{say.metres(hyperfocal_m / 2)} to ∞"
    how = [work(framing.hyperfocal_m, **values)]
    rows.append(Fact(f"Focused at {say.metres(hyperfocal_m)}", sharp_from, "hyperfocal distance", how))
    reply.working.extend(how)
    typed = given(shoot.coc_mm)
    diagonal = () if typed else (work(framing.circle_of_confusion_mm, diagonal_mm=need(view.area).diagonal_mm),)
    convention = "as typed" if typed else "diagonal / 1500, a convention"
    rows.append(Fact("Circle of confusion", say.unit(values["coc_mm"], "mm", 2), convention, diagonal))
    reply.add(Facts(rows, "What is sharp"))


def _ground(asked: Asked, reply: Answer) -> None:
    """Tell what of level ground is in the picture."""
    say, view, found = asked.say, asked.shoot.view, asked.shoot.view.ground
    if not known(found):
        return
    if found is None:
        reply.add(Text("No level ground is in the picture: it looks above it.", LOOK))
        return
    height_m, tilt_deg, seen = need(view.camera_height_m, view.tilt_deg, view.view)

    def meets(depression_deg: float) -> list[Working]:
        return [work(framing.ground_distance_m, camera_height_m=height_m, depression_deg=depression_deg)]

    near = say.metres(abs(found.near_m)) + (" behind" if found.near_m < 0 else "")
    at_bottom = meets(seen.vfov_deg / 2 - tilt_deg)
    rows = [Fact("Near edge", near, f"{say.metres(found.near_width_m)} wide there", at_bottom)]
    middle_m = need(view.ground_middle_m)
    if middle_m is not None:
        rows.append(Fact("Middle of the picture", say.metres(middle_m), how=meets(-tilt_deg)))
    if found.far_m is None:
        above = say.degrees(seen.vfov_deg / 2 + tilt_deg)
        how = (f"The picture’s top looks {above} above the horizon: half its angle and the tilt.",)
        rows.append(Fact("Far edge", "∞", "the horizon is in the picture", how))
    else:
        at_top = meets(-seen.vfov_deg / 2 - tilt_deg)
        rows.append(Fact("Far edge", say.metres(found.far_m), f"{say.metres(found.far_width_m)} wide there", at_top))
    reply.add(Facts(rows, "Level ground, from the foot"))
    reply.working.extend(at_bottom)


def _angles(asked: Asked, reply: Answer) -> None:
    """Tell the three angles, and the lens in both ways of naming it."""
    say, optics = asked.say, asked.shoot.view
    view, area = or_none(optics.view), or_none(optics.area)
    if view is None:
        return
    angles = f"{say.degrees(view.hfov_deg)} × {say.degrees(view.vfov_deg)}"
    how = [
        *optics.workings(),
        f"From {_KNOWN_BY_WORDS[need(optics.known_by)]}; height and corners by the picture’s sides.",
    ]
    rows = [Fact("Angles of view", angles, f"{say.degrees(view.dfov_deg)} corner to corner", how)]
    equivalent = f"35 mm equivalent {say.unit(need(optics.focal_eq_mm), 'mm')}"
    same_angle = viewing.equidistant_equivalent_mm if view.equidistant else viewing.equivalent_from_angle_mm
    how = (work(same_angle, dfov_deg=view.dfov_deg),)
    rows.append(Fact("Focal length", say.unit(or_none(optics.focal_mm), "mm"), equivalent, how))
    if area is not None:
        sides = f"{say.figures(area.width_mm)} × {say.unit(area.height_mm, 'mm')}"
        whole = need(optics.sensor)
        sides_mm = f"{say.figures(whole.width_mm)} × {say.unit(whole.height_mm, 'mm')}"
        how = (f"The whole one, {sides_mm}, cut to the picture’s shape.",)
        rows.append(Fact("Sensor", sides, "as used, nominal", how))
    reply.add(Facts(rows))
    if view.equidistant:
        reply.notes.append("For an equidistant lens; other fisheyes differ by some percent towards the edges.")
    else:
        reply.notes.append("For a lens without distortion; most wide ones see a little more.")


def _cautions(asked: Asked) -> Points | None:
    """Return what to mind where a camera hangs high and looks at people."""
    if not known(asked.shoot.view.view):
        return None
    high = [ladder(asked.say), FALLING_OBJECTS] if given(asked.shoot.camera_m) else []
    return Points("Cautions", [*high, PEOPLE_IN_THE_PICTURE, LOCAL_CODES], folded=True)


FRAMING = Page(
    "framing",
    "Framing",
    "What does the picture cover?",
    ("sensor", "focal_mm", "distance_m", "subject_m"),
    answer,
    (
        Group("Other ways to know the view", ("hfov", "focal_eq_mm", "sensor_mm", "size", "projection")),
        Group("Height and tilt", ("camera_m", "tilt")),
        Group("Sharpness, lens for a width", ("aperture", "coc_mm", "width_m")),
    ),
    # Another shape of picture than the sensor's would crop the view without anybody having asked for it.
    without_usual=frozenset({"size"}),
    moment="mast",
    parts=(),
    results=FramingResults,
    scripts=("exif.js",),
)
