"""Putting a camera back by taps alone, with two pictures of an invented scene whose truth is known.

The scene (``scene.js``) is projected by the camera's axes in space; the app's own geometry has no part in it. The hand
that follows the printed turns is off by a part of each.
"""

from __future__ import annotations

import base64
import math
import re
from collections.abc import Sequence
from pathlib import Path

from playwright.sync_api import Page, Request, expect

SCENE = (Path(__file__).parent / "scene.js").read_text()
WIDE, HIGH, HFOV = 1600, 1200, 50
TILT = -20.0
#: Bearing, tilt, roll.
Pose = tuple[float, float, float]
REFERENCE: Pose = (0.0, TILT, 0.0)
#: What each turn in words does to bearing, tilt and roll.
TURNS = {
    "turn left": (0, -1),
    "turn right": (0, 1),
    "tilt down": (1, -1),
    "tilt up": (1, 1),
    "roll counter-clockwise": (2, -1),
    "roll clockwise": (2, 1),
}
#: A hand turns this much more or less than it was told.
HAND = (1.03, 0.96, 1.05)


def picture(page: Page, pose: Pose, light: Sequence[float] = (0.8, 20), size: tuple[int, int] = (WIDE, HIGH)) -> bytes:
    asked = {"wide": size[0], "high": size[1], "hfov": HFOV, "pose": pose, "light": light}
    data: str = page.evaluate(SCENE, asked)
    return base64.b64decode(data.partition(",")[2])


def choose(page: Page, label: str, content: bytes, name: str = "secret-name.png") -> None:
    page.get_by_label(label, exact=True).set_input_files({"name": name, "mimeType": "image/png", "buffer": content})


def spots(pose: Pose) -> list[tuple[float, float]]:
    """Return where the directions of the reference frame's corners are seen from a pose."""

    def axes(pose: Pose) -> list[list[float]]:
        b, t, r = map(math.radians, pose)
        ahead = [math.sin(b) * math.cos(t), math.cos(b) * math.cos(t), math.sin(t)]
        right = [math.cos(b), -math.sin(b), 0.0]
        down = [math.sin(b) * math.sin(t), math.cos(b) * math.sin(t), -math.cos(t)]
        across = [math.cos(r) * x + math.sin(r) * y for x, y in zip(right, down, strict=True)]
        along = [math.cos(r) * y - math.sin(r) * x for x, y in zip(right, down, strict=True)]
        return [across, along, ahead]

    focal, found = WIDE / 2 / math.tan(math.radians(HFOV / 2)), []
    for corner in ((-WIDE / 2, -HIGH / 2), (WIDE / 2, -HIGH / 2), (-WIDE / 2, HIGH / 2), (WIDE / 2, HIGH / 2)):
        before = axes(REFERENCE)
        ray = [sum(part * axis[n] for part, axis in zip((*corner, focal), before, strict=True)) for n in range(3)]
        x, y, z = (sum(map(math.prod, zip(axis, ray, strict=True))) for axis in axes(pose))
        found.append((focal * x / z, focal * y / z))
    return found


def off_px(pose: Pose) -> float:
    """Return how far the farthest corner is from where it was."""
    return max(math.dist(one, other) for one, other in zip(spots(pose), spots(REFERENCE), strict=True))


def followed(pose: Pose, words: str) -> Pose:
    """Return the pose after the printed turns, done by hand."""
    turned = list(pose)
    printed = re.findall(r"((?:turn|tilt|roll) [a-z-]+) ([\d.]+)°", words)
    for (words, degrees), share in zip(printed, HAND, strict=False):
        axis, sign = TURNS[words]
        turned[axis] += sign * share * float(degrees)
    return turned[0], turned[1], turned[2]


def answered(page: Page) -> str:
    """Return the sentence once it is up to date."""
    expect(page.locator("main")).to_have_class("")
    return page.locator("#answer").inner_text()


def start(page: Page) -> str:
    """Open the page and return the answer before any landmark."""
    page.goto(f"/remount?v=1&size={WIDE}x{HIGH}&hfov={HFOV}&head=pan_tilt&tilt={TILT:g}")
    expect(page.get_by_label("Fresh picture", exact=True)).to_be_attached()
    return answered(page)


def test_two_pictures_bring_it_back_by_taps_alone(page: Page) -> None:
    """Within a pixel at every corner in two rounds; nothing but the form is ever asked of the server."""
    requests: list[Request] = []
    page.on("request", lambda request: requests.append(request))
    pose: Pose = (1.3, TILT - 0.8, 0.9)
    before = start(page)
    choose(page, "Reference picture", picture(page, REFERENCE))
    # A darker day with less contrast.
    choose(page, "Fresh picture", picture(page, pose, (0.55, 10)))
    canvas = page.get_by_label("The reference and the fresh picture over each other")
    expect(canvas).to_be_visible()
    for x, y in ((0.15, 0.15), (0.85, 0.2), (0.2, 0.85), (0.8, 0.8)):
        box = canvas.bounding_box()
        assert box
        canvas.click(position={"x": x * box["width"], "y": y * box["height"]})
    expect(page.locator("#now4")).not_to_have_value("")
    expect(page.locator("#answer")).to_contain_text("Seen from behind the camera")
    assert answered(page) != before
    assert off_px(pose) > 30
    pose = followed(pose, answered(page))
    assert 1 < off_px(pose) < 5
    # The second time the reference landmarks are there already: only a fresh picture is needed.
    shown = page.locator("#now1").input_value()
    choose(page, "Fresh picture", picture(page, pose, (0.6, 15)))
    expect(page.locator("#now1")).not_to_have_value(shown)
    page.wait_for_timeout(400)
    pose = followed(pose, answered(page))
    assert off_px(pose) < 1
    # No picture leaves the phone.
    assert {request.method for request in requests} == {"GET"}
    assert not any(request.post_data for request in requests)
    assert not any("secret-name" in request.url for request in requests)
    assert all(len(request.url) < 2_000 for request in requests)


def test_a_place_that_is_not_there_is_refused(page: Page) -> None:
    """The fresh picture looks elsewhere: no landmark is taken, and one can be dragged into place."""
    start(page)
    choose(page, "Reference picture", picture(page, REFERENCE, size=(800, 600)))
    choose(page, "Fresh picture", picture(page, (60.0, 10.0, 0.0), size=(800, 600)))
    canvas = page.get_by_label("The reference and the fresh picture over each other")
    canvas.click()
    status = page.locator("#pictures [role=status]")
    expect(status).to_contain_text("Landmark 1")
    expect(status).not_to_contain_text("found,")
    expect(page.locator("#now1")).to_have_value("")
    near = page.get_by_label("The landmark close by")
    near.scroll_into_view_if_needed()
    box = near.bounding_box()
    assert box
    page.mouse.move(box["x"] + box["width"] * 0.75, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.75 - 20, box["y"] + box["height"] / 2)
    page.mouse.up()
    expect(page.locator("#now1")).not_to_have_value("")


def test_a_smaller_fresh_picture_is_read_at_the_plans_size(page: Page) -> None:
    """Halved by whatever sent it: positions are still those of the plan's size."""
    start(page)
    choose(page, "Reference picture", picture(page, REFERENCE))
    choose(page, "Fresh picture", picture(page, REFERENCE, size=(WIDE // 2, HIGH // 2)))
    canvas = page.get_by_label("The reference and the fresh picture over each other")
    canvas.click()
    expect(page.locator("#now1")).not_to_have_value("")
    before, now = ([float(side) for side in page.locator(name).input_value().split(",")] for name in ("#ref1", "#now1"))
    assert math.dist(before, now) < 0.7
