"""What the drivers share: the size of the phone."""

from __future__ import annotations

#: The phone of these tests, in CSS pixels.
WIDTH, HEIGHT = 360, 740
