"""Values from pictures: JPEG files made here, with Exif data after CIPA DC-008 (Exif 2.32), section 4.6."""

from __future__ import annotations

import base64
import struct
from typing import Any

from playwright.sync_api import Page, expect

#: A time of the camera's, its lens and its exposure; all invented.
TAKEN = "2027:03:04 14:03:25"
_DRAW = "([w, h]) => Object.assign(document.createElement('canvas'), {width: w, height: h}).toDataURL('image/jpeg')"


def exif(*, time: str = TAKEN, wide: int = 640, turned: int = 1, order: str = ">") -> bytes:
    """Return an APP1 segment with an Exif directory, in one or the other order of bytes."""

    def entry(tag: int, kind: int, count: int, value: bytes) -> bytes:
        return struct.pack(f"{order}HHI", tag, kind, count) + value.ljust(4, b"\0")

    short, long = (lambda n: struct.pack(f"{order}H", n)), (lambda n: struct.pack(f"{order}I", n))
    ratios = [(1, 250), (28, 10), (424, 100)]
    inner_at, entries = 8 + 2 + 2 * 12 + 4, 6
    data_at = inner_at + 2 + entries * 12 + 4
    data = b"".join(struct.pack(f"{order}II", *one) for one in ratios) + time.encode() + b"\0"
    inner = struct.pack(f"{order}H", entries) + b"".join(
        (
            entry(0x829A, 5, 1, long(data_at)),
            entry(0x829D, 5, 1, long(data_at + 8)),
            entry(0x9003, 2, 20, long(data_at + 24)),
            entry(0x920A, 5, 1, long(data_at + 16)),
            entry(0xA002, 4, 1, long(wide)),
            entry(0xA405, 3, 1, short(26)),
        )
    )
    outer = struct.pack(f"{order}H", 2) + entry(0x0112, 3, 1, short(turned)) + entry(0x8769, 4, 1, long(inner_at))
    mark = b"MM" if order == ">" else b"II"
    body = b"Exif\0\0" + mark + short(42) + long(8) + outer + long(0) + inner + long(0) + data
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


def jpeg(page: Page, segment: bytes = b"", size: tuple[int, int] = (640, 480), more: int = 0) -> bytes:
    """Return a JPEG of the browser's with a segment put in, and so many bytes after its end."""
    plain = base64.b64decode(page.evaluate(_DRAW, list(size)).partition(",")[2])
    return plain[:2] + segment + plain[2:] + b"\0" * more


def take(page: Page, *contents: bytes) -> str:
    """Choose pictures and return what the page says about them."""
    page.evaluate("document.querySelectorAll('details').forEach(fold => fold.open = true)")
    files: list[Any] = [
        {"name": f"secret{n}.jpg", "mimeType": "image/jpeg", "buffer": one} for n, one in enumerate(contents)
    ]
    page.get_by_label("Test frames").set_input_files(files)
    status = page.locator("#exif [role=status]")
    expect(status.locator("p").first).to_be_visible()
    return status.inner_text()


def value(page: Page, name: str) -> str:
    return page.locator(f"#{name}").input_value()


def start(page: Page, path: str) -> None:
    page.goto(path)
    expect(page.locator("#exif")).to_be_attached()


def test_a_test_frame_fills_in_lens_and_size(page: Page) -> None:
    for order in (">", "<"):
        start(page, "/framing?v=1")
        words = take(page, jpeg(page, exif(order=order)))
        assert (value(page, "size"), value(page, "focal_mm"), value(page, "focal_eq_mm")) == ("640x480", "4.24", "26")
        assert value(page, "aperture") == "2.8"
        assert "focal length 4.24 mm" in words
        assert "2027-03-04 14:03:25" in words
        expect(page.locator("#answer")).to_contain_text("°")


def test_upright_pictures_and_exposures(page: Page) -> None:
    start(page, "/motion?v=1&size=480x640")
    take(page, jpeg(page, exif(turned=6)))
    assert (value(page, "size"), value(page, "shutter")) == ("480x640", "1/250")


def test_daily_means_and_no_upload(page: Page) -> None:
    """Two days of two frames: the mean of their means, and the larger one; single frames don't count."""
    bodies: list[str | None] = []
    page.on("request", lambda request: bodies.append(request.post_data))
    start(page, "/storage?v=1&size=640x480")
    base = len(jpeg(page, exif()))
    frames = [(1, 100_000), (1, 300_000), (2, 500_000), (2, 500_000)]
    words = take(page, *(jpeg(page, exif(time=f"2027:03:0{day} 12:00:00"), more=size - base) for day, size in frames))
    assert (value(page, "frame_mb"), value(page, "frame_mb_max")) == ("0.350", "0.500")
    assert "on the largest of 2 days" in words
    assert set(bodies) == {None}


def test_a_picture_packed_again_gives_no_bytes(page: Page) -> None:
    for again in ({"segment": b""}, {"segment": exif(wide=4000)}):
        start(page, "/storage?v=1")
        words = take(page, jpeg(page, **again))
        assert "Take the file from the card" in words
        assert value(page, "frame_mb") == ""
    start(page, "/storage?v=1&size=1920x1080")
    assert "the plan says 1920x1080" in take(page, jpeg(page, exif()))
    assert value(page, "frame_mb") == ""


def test_a_file_that_is_no_picture(page: Page) -> None:
    start(page, "/storage?v=1")
    assert "nothing was taken" in take(page, b"no picture at all", b"\xff\xd8\xff\xe1\xff\xff")


def test_the_cameras_clock_against_a_phones(page: Page) -> None:
    """The frame was taken at 14:03:25 by the camera and shows 14:03:20 on the phone: 5 s fast; over midnight too."""
    start(page, "/check?v=1")
    take(page, jpeg(page, exif()))
    shown = page.get_by_label("Its time there")
    for text, fast in (("14:03:20", "5"), ("2:03:25", "-43200"), ("14:04", "-35")):
        shown.fill(text)
        shown.blur()
        expect(page.locator("#found_clock")).to_have_value(fast)
