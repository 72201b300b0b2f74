"""The motion itself as a picture, for the pages that tell of it."""

from __future__ import annotations

from fractions import Fraction

from webcalc.calc.unknown import known
from webcalc.web.http.page import Asked
from webcalc.web.pictures.moving import RUNS_S, moving_picture
from webcalc.web.words.answer import Picture

#: A smaller part of the width in a frame isn't seen to move in a small picture. Own choice.
LEAST_SHARE = 1e-4


def motion_itself(asked: Asked, interval_s: Fraction | None) -> Picture | None:
    """Return the picture of a subject that crosses at an interval; None where nothing is known to cross."""
    if interval_s is None:
        return None
    share, fps, say = asked.shoot.moving.step_share(interval_s), asked.shoot.fps, asked.say
    if not known(share) or not known(fps) or not LEAST_SHARE < share < 1:
        return None
    told = f"Tap it: {say.percent(share)} of the picture’s width a frame, {say.number(fps)} frames a second."
    return Picture("The motion itself", moving_picture(share, float(fps)), f"{told} It runs {RUNS_S} s.")
