"""Frame sizes: the ranges against measured photographs and simulated raw files, and the arithmetic."""

from decimal import Decimal
from fractions import Fraction

import pytest
from storage_rows import expected, rows

from webcalc.calc.card.frame_size import (
    NIGHT_NOISE,
    PICTURES,
    SCENE_DETAIL,
    frame_bytes,
    frame_bytes_at,
    measured,
    smaller_picture,
)
from webcalc.calc.estimate import Estimate

# Which encoder settings a kind of picture stands for: this project's judgement.
SETTINGS = {
    "economy": ("420_q75", "420_q85", "444_q75"),
    "standard": ("420_q92", "444_q85", "444_q92"),
    "fine": ("444_q95",),
}
#: The most detailed photographs may pass the high end of "standard" by this much (3.65 and 4.47 bits
#: a pixel against 3): the range is meant for scenes, not for the worst one at the highest setting.
WORST_SCENE_EXCESS = {"economy": 1.35, "standard": 1.5, "fine": 1.0}


@pytest.mark.parametrize("row", rows("bpp_"))
def test_measured_photographs_lie_within_a_kind_of_picture(row):
    """Pillow 13.0.0 over photographs shipped with Debian; measured for this project."""
    spread = row["expected"]
    assert spread["min"] < spread["median"] < spread["max"]
    kinds = [name for name, settings in SETTINGS.items() if row["id"].endswith(settings)]
    for name in kinds:
        bits = PICTURES[name].bits_per_px
        assert bits.low <= spread["median"] + row["tolerance"]
        assert spread["median"] <= bits.high
        assert spread["max"] <= bits.high * WORST_SCENE_EXCESS[name]
    # Whatever the setting, noise included: "fine" covers the most detailed photograph.
    assert spread["max"] <= PICTURES["fine"].bits_per_px.high


@pytest.mark.parametrize("row", rows("rawsim_"))
def test_simulated_raw_files_lie_within_the_ranges(row):
    """Lossless JPEG simulated over 8 photographs with shot noise; min, median, max in bits a photosite."""
    bits = PICTURES[f"raw{row['id'].split('_')[1]}"].bits_per_px
    low, _, high = row["expected"]
    assert bits.low <= low
    assert high <= bits.high


@pytest.mark.parametrize("quality", ["q75", "q85", "q92"])
def test_night_noise_costs_what_was_measured(quality):
    """Synthetic noise of sigma 8 against none, Pillow 13.0.0: +59 to +92 %."""
    growth = expected(f"bpp_noise_s8_{quality}")["median"] / expected(f"bpp_noise_s0_{quality}")["median"]
    assert float(NIGHT_NOISE.low) <= growth <= float(NIGHT_NOISE.high) + 0.05


@pytest.mark.parametrize("row", rows("bpp_1920_420_"))
def test_scene_detail_spreads_sizes_as_measured(row):
    spread = row["expected"]
    assert float(SCENE_DETAIL.low) <= spread["max"] / spread["min"] <= float(SCENE_DETAIL.high)


def test_a_1080p_frame_at_two_bits_a_pixel():
    assert frame_bytes_at(1920, 1080, 2) == expected("arith_1080p_frame_at_2_bpp")
    assert frame_bytes(1920, 1080, PICTURES["standard"]) == Estimate(259_200, 518_400, 777_600)


def test_odd_sizes_round_up():
    assert frame_bytes_at(3, 3, 1) == 2
    assert frame_bytes_at(6000, 4000, Fraction("9.5")) == 28_500_000


@pytest.mark.parametrize("typed", [Decimal("2.5"), Fraction(5, 2)])
def test_a_measured_size_has_no_range(typed):
    assert measured(typed) == Estimate.exact(2_500_000)
    assert measured(typed).is_exact


@pytest.mark.parametrize("typed", [0, -1, Decimal("NaN"), Decimal("Infinity")])
def test_a_measured_size_is_a_size(typed):
    with pytest.raises(ValueError, match="larger than nothing"):
        measured(typed)


def test_lower_picture_quality_when_the_card_must_last():
    """Common practice, no source."""
    assert smaller_picture(PICTURES["fine"]).name == "standard"
    assert smaller_picture(PICTURES["raw14"]).name == "raw12"
    assert smaller_picture(PICTURES["economy"]) is None
    for picture in PICTURES.values():
        below = smaller_picture(picture)
        if below:
            small, large = (frame_bytes(1920, 1080, kind) for kind in (below, picture))
            assert (small.low, small.expected, small.high) < (large.low, large.expected, large.high)


def test_a_measured_range_is_that_of_daily_means():
    """By hand: 2 MB on the mean day, 2.6 on the largest; a largest below the mean can't be one."""
    assert measured(2, Decimal("2.6")) == Estimate(2_000_000, 2_000_000, 2_600_000)
    assert measured(2, 1) == Estimate.exact(2_000_000)
    with pytest.raises(ValueError, match="larger than nothing"):
        measured(2, 0)
