"""Write dark_runs.csv: in how many of 40,000 simulated winters a battery with a panel comes to its reserve.

Run in an environment with numpy (2.x): ``python dark_runs.py > ../dark_runs.csv``. Seeded: the output stays the same.

It is written apart from the app, with other means. Each day has its own sun: declination and distance after FAO-56
(eq. 23, 24), the beam on the plane summed over hour angles of a quarter of a degree. Each winter's days are drawn: the
normal score of a day's clearness goes on from the day before with a correlation of 0.3 (Graham, Hollands and Brunger
1988); the clearness is read off Bendt, Collares-Pereira and Rabl's (1981) density e^(γ K) between 0.05 and Hollands and
Huget's (1983) highest value, summed on a grid, γ solved for the month's mean; a day's diffuse share is Erbs, Klein and
Duffie's (1982). These forms are from memory, as Duffie & Beckman section 2.9 and 2.11 give them.

The month's mean clearness is 0.25 + 0.5 n/N (FAO-56 eq. 35) of its share of sunshine. The shares of these sites are
rounded climate normals from memory: they stand for kinds of climate, not for the places.

The battery begins full. Half a day's load is drawn, the day's harvest comes at noon, half a day's load is drawn.
Columns: the load is 4 Wh a day, the losses a quarter of the rated energy, the panel faces the equator; room_wh lies
between full and the reserve; chance is the share of the winters in which the reserve is touched.
"""

import sys

import numpy as np

YEARS = 40_000
LOAD_WH = 4.0
LOSS = 0.25
CORRELATION = 0.3
MONTH_ENDS = np.cumsum([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
#: Name, latitude, tilt, first day of the year, days, shares of sunshine in percent, January first.
SITES = (
    ("wet west coast", 51.5, 60, 274, 181, (20, 27, 33, 39, 40, 42, 43, 44, 38, 32, 25, 18)),
    ("foggy valley", 45.8, 60, 274, 181, (24, 35, 45, 46, 49, 53, 60, 58, 52, 38, 26, 21)),
    ("sunny plateau", 40.4, 50, 274, 181, (48, 53, 56, 58, 60, 69, 79, 79, 67, 56, 50, 46)),
    ("northern fjord", 59.9, 75, 274, 181, (20, 31, 37, 42, 46, 47, 45, 45, 38, 29, 22, 16)),
    ("southern coast", -37.8, 50, 91, 183, (60, 58, 52, 48, 40, 38, 40, 44, 46, 50, 52, 56)),
    ("under high fog", 47.4, 60, 274, 181, (20, 30, 36, 40, 43, 47, 52, 50, 44, 31, 20, 17)),
    ("wet tropics", 1.3, 10, 1, 365, (46, 56, 52, 50, 50, 51, 52, 48, 44, 42, 37, 37)),
    ("polar coast", 69.6, 75, 60, 215, (10, 25, 34, 41, 35, 32, 32, 33, 30, 23, 12, 0)),
)
WATTS = (1.5, 2, 3, 5, 8, 12, 20, 40)
ROOMS_WH = (8, 12, 16, 20, 26, 32, 40, 60)


def brightest(mean):
    return 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8


def clearness_at(mean, shares):
    """Read clearness off the summed density, its slope found by halving."""
    grid = np.linspace(0.05, brightest(mean), 20_001)

    def weights(slope):
        density = np.exp(slope * (grid - (grid[-1] if slope > 0 else grid[0])))
        density[[0, -1]] /= 2
        return density / density.sum()

    low, high = -300.0, 300.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if (weights(middle) * grid).sum() < mean else (low, middle)
    below = np.cumsum(weights(low))
    return np.interp(shares, below / below[-1], grid)


def diffuse_share(clearness, sunset_deg):
    k = clearness
    if sunset_deg < 81.4:
        return np.where(k < 0.715, 1 - 0.2727 * k + 2.4495 * k**2 - 11.9514 * k**3 + 9.3879 * k**4, 0.143)
    return np.where(k < 0.722, 1 + 0.2832 * k - 2.5557 * k**2 + 0.8448 * k**3, 0.175)


def harvest_of_one_watt(latitude, day, tilt, clearness):
    """Sum one day on the horizontal and on the plane over its hour angles, Wh for a rated watt."""
    declination = 0.409 * np.sin(2 * np.pi * day / 365 - 1.39)
    distance = 1 + 0.033 * np.cos(2 * np.pi * day / 365)
    hours = np.radians(np.arange(-180, 180, 0.25) + 0.125)
    turned = np.radians(latitude)
    # Facing the equator a plane stands as the ground does so many degrees nearer to it.
    on_plane = np.radians(latitude - tilt if latitude >= 0 else latitude + tilt)
    height = np.sin(turned) * np.sin(declination) + np.cos(turned) * np.cos(declination) * np.cos(hours)
    facing = np.sin(on_plane) * np.sin(declination) + np.cos(on_plane) * np.cos(declination) * np.cos(hours)
    up = height > 0
    horizontal = height[up].sum()
    if horizontal < 1e-6:
        return np.zeros_like(clearness)
    beam = facing[up].clip(min=0).sum() / horizontal
    above_air_kwh = 0.0820 * 60 * 24 * distance * horizontal / len(hours) / 3.6
    sunset_deg = up.mean() * 180
    diffuse, cosine = diffuse_share(clearness, sunset_deg), np.cos(np.radians(tilt))
    plane = (1 - diffuse) * beam + diffuse * (1 + cosine) / 2 + 0.2 * (1 - cosine) / 2
    return above_air_kwh * clearness * plane * (1 - LOSS)


def normal_scores(rng, days):
    """Draw the scores of following days; yield the shares of darker days that they stand for."""
    at = np.linspace(-5, 5, 4001)
    density = np.exp(-(at**2) / 2)
    below = np.cumsum(density) - density / 2
    below /= density.sum()
    score = rng.standard_normal(YEARS)
    for _ in range(days):
        score = CORRELATION * score + np.sqrt(1 - CORRELATION**2) * rng.standard_normal(YEARS)
        yield np.interp(score, at, below)


def chances(latitude, tilt, first, days, sunshine, seed):
    """Walk all winters of a site for every panel and battery at once."""
    shares = (np.arange(4000) + 0.5) / 4000
    clearness = [clearness_at(0.25 + 0.5 * percent / 100, shares) for percent in sunshine]
    watts, rooms = np.array(WATTS)[:, None, None], np.array(ROOMS_WH)[None, :, None]
    depth = np.zeros((len(WATTS), len(ROOMS_WH), 1)) + np.zeros(YEARS)
    touched = np.zeros(depth.shape, bool)
    for n, drawn in enumerate(normal_scores(np.random.default_rng(seed), days)):
        day = (first - 1 + n) % 365 + 1
        table = harvest_of_one_watt(latitude, day, tilt, clearness[int(np.searchsorted(MONTH_ENDS, day))])
        harvest = np.interp(drawn, shares, table)
        depth += LOAD_WH / 2
        touched |= depth >= rooms
        np.maximum(depth - watts * harvest, 0, out=depth)
        depth += LOAD_WH / 2
    touched |= depth >= rooms
    return touched.mean(axis=2)


def main():
    print(f"# generators/dark_runs.py, numpy {np.__version__.split('.')[0]}: {YEARS} winters each")
    print("site,latitude,tilt_deg,first_day,days,sunshine,panel_w,room_wh,chance")
    for seed, (name, latitude, tilt, first, days, sunshine) in enumerate(SITES, 1):
        found = chances(latitude, tilt, first, days, sunshine, seed)
        percent = " ".join(map(str, sunshine))
        for w, panel_w in enumerate(WATTS):
            for r, room_wh in enumerate(ROOMS_WH):
                if 0.002 <= found[w, r] <= 0.8:
                    row = (name, latitude, tilt, first, days, percent, panel_w, room_wh, f"{found[w, r]:.4f}")
                    print(*row, sep=",")
                    sys.stdout.flush()


if __name__ == "__main__":
    main()
