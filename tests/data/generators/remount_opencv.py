"""Write tests/data/remount_opencv.csv: where OpenCV puts points of a picture after a camera error.

Needs opencv-python-headless (5.0.0 was used) and numpy; run from the top of the project:
    python tests/data/generators/remount_opencv.py

The rotation is composed from cv2.Rodrigues of one rotation vector per turn in OpenCV's camera axes (x right, y
down, z forward): pan right, then tilt up, then roll clockwise, each about the camera's own axis; the points go through
cv2.projectPoints with the focal length times the zoom.
"""

import csv
import itertools
import math
import random
from pathlib import Path

import cv2
import numpy as np

TARGET = Path(__file__).parent.parent / "remount_opencv.csv"
PICTURES = [(1920, 1080, 60.0), (4000, 3000, 30.0), (1080, 1920, 45.0), (3840, 2160, 90.0), (640, 480, 8.0)]
ERRORS = list(itertools.product((-1.0, 0.0, 0.4), (-0.7, 0.0, 0.25), (-2.0, 0.0, 0.6), (0.98, 1.0, 1.03)))

COLUMNS = ["width_px", "height_px", "hfov_deg", "pan_deg", "tilt_deg", "roll_deg", "zoom"]
COLUMNS += [f"{frame}{n}_{axis}" for n in (1, 2) for frame in ("ref", "now") for axis in "xy"]
LEAST_APART_SHARE = 0.1  # of the width, between the two points


def turn(axis: tuple[int, int, int], angle_deg: float) -> np.ndarray:
    """Return how the scene's coordinates change when the camera turns by the opposite angle."""
    return cv2.Rodrigues(np.array(axis, dtype=float) * math.radians(angle_deg))[0]


def main() -> None:
    rng = random.Random(1)  # noqa: S311 - repeatable points, nothing secret
    rows = []
    for width, height, hfov in PICTURES:
        focal = width / 2 / math.tan(math.radians(hfov / 2))
        camera = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
        for pan, tilt, roll, zoom in ERRORS:
            # The camera turned right: the scene turns left, about the axis that points down (y), by -pan.
            rotation = turn((0, 0, 1), -roll) @ turn((1, 0, 0), -tilt) @ turn((0, 1, 0), -pan)
            pixels = [(0.0, 0.0)] * 2
            while math.dist(*pixels) < LEAST_APART_SHARE * width:
                pixels = [(rng.uniform(0.05, 0.95) * width, rng.uniform(0.05, 0.95) * height) for _ in range(2)]
            scene = np.array([((u - width / 2) / focal, (v - height / 2) / focal, 1.0) for u, v in pixels]) * 50
            now = camera.copy()
            now[0, 0] *= zoom
            now[1, 1] *= zoom
            projected, _ = cv2.projectPoints(scene, cv2.Rodrigues(rotation)[0], np.zeros(3), now, None)
            points = [
                value for pair in zip(pixels, projected.reshape(-1, 2), strict=True) for value in (*pair[0], *pair[1])
            ]
            rows.append([width, height, hfov, pan, tilt, roll, zoom, *(f"{value:.6f}" for value in points)])
    with TARGET.open("w", newline="") as file:
        file.write(f"# Computed with OpenCV {cv2.__version__}, cv2.projectPoints, by generators/remount_opencv.py.\n")
        file.write(
            "# Angles in degrees, positions in pixels from the top left; no distortion, axis through the middle.\n"
        )
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(rows)


if __name__ == "__main__":
    main()
