"""Moving pictures: format, loop, time, and the blade's light in its core."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from migrate.report.moving import animate, blade_image
from migrate.report.pictures import GROUND, srgb_codes

RATE, PIXELS = 250, 20
CELL, ROOT, MIDDLE = 660 // PIXELS, 110, 44


def colours(seconds: float = 0.4) -> NDArray[np.uint8]:
    """Ten frames a colour, that is one picture at 25 a second; the hilt half is dark."""
    count = int(seconds * RATE)
    frames = np.zeros((count, PIXELS, 3), np.uint8)
    for k in range(count // 10):
        frames[10 * k : 10 * k + 10, PIXELS // 2 :] = (25 * k % 256, 255 - 20 * k % 256, 90)
    return frames


@pytest.mark.parametrize("suffix", [".png", ".apng", ".webp", ".gif"])
def test_each_picture_shows_its_moment(tmp_path: Path, suffix: str) -> None:
    frames, path = colours(), tmp_path / f"blade{suffix}"
    animate(frames, RATE, path)
    near = {".webp": 16, ".gif": 24}.get(suffix, 0)  # lossy, and 256 colours
    with Image.open(path) as image:
        assert image.n_frames == 10
        assert image.info.get("loop") == 0
        for k in range(10):
            image.seek(k)
            shown = np.asarray(image.convert("RGB")).astype(int)
            expected = srgb_codes(frames[10 * k + 5, 15] / 255.0)
            assert np.abs(shown[MIDDLE, ROOT + 15 * CELL + CELL // 2] - expected).max() <= near
            dark = shown[MIDDLE, ROOT + 5 * CELL]
            assert dark.max() <= near


@pytest.mark.parametrize(("suffix", "lasting"), [(".png", 40), (".webp", 40), (".gif", 40)])
def test_a_picture_lasts_as_long_as_its_frames(tmp_path: Path, suffix: str, lasting: int) -> None:
    path = tmp_path / f"blade{suffix}"
    animate(colours(0.8), RATE, path)
    with Image.open(path) as image:
        total = 0
        for k in range(image.n_frames):
            image.seek(k)
            image.load()
            total += image.info["duration"]
        assert total == 800
        assert total // image.n_frames == lasting


def test_flicker_between_pictures_is_averaged_in_light(tmp_path: Path) -> None:
    frames = np.zeros((100, PIXELS, 3), np.uint8)
    frames[::2] = 200
    animate(frames, RATE, tmp_path / "flicker.png")
    with Image.open(tmp_path / "flicker.png") as image:
        assert image.convert("RGB").getpixel((ROOT + 200, MIDDLE)) == tuple(srgb_codes(np.full(3, 100 / 255)))


def test_the_blade_has_a_soft_edge_a_glow_and_dark_ground() -> None:
    shown = np.asarray(blade_image(np.ones((PIXELS, 3)))).astype(int)[:, ROOT + 300, 1]
    middle = shown[MIDDLE]
    assert middle == 255
    below = shown[MIDDLE:]
    assert (np.diff(below) <= 0).all()
    assert GROUND[1] < below[20] < 255
    assert np.asarray(blade_image(np.zeros((PIXELS, 3))))[2, 2] == pytest.approx(GROUND)


def test_glow_takes_the_colour_of_the_light_beside_it() -> None:
    light = np.zeros((PIXELS, 3))
    light[:10, 0], light[10:, 2] = 1, 1
    shown = np.asarray(blade_image(light)).astype(int)
    hilt, tip = shown[MIDDLE + 14, ROOT + 3 * CELL], shown[MIDDLE + 14, ROOT + 17 * CELL]
    assert hilt[0] > hilt[2] + 40
    assert tip[2] > tip[0] + 40


@pytest.mark.parametrize("suffix", [".png", ".webp", ".gif"])
def test_the_bytes_are_the_same_twice(tmp_path: Path, suffix: str) -> None:
    for name in ("one", "two"):
        animate(colours(), RATE, tmp_path / f"{name}{suffix}")
    assert (tmp_path / f"one{suffix}").read_bytes() == (tmp_path / f"two{suffix}").read_bytes()


@pytest.mark.parametrize("shape", [(1, 1), (3, 7), (60, 900)])
def test_small_and_wide_blades_do_not_fail(tmp_path: Path, shape: tuple[int, int]) -> None:
    animate(np.full((*shape, 3), 80, np.uint8), RATE, tmp_path / "blade.webp")
    with Image.open(tmp_path / "blade.webp") as image:
        assert image.width >= shape[1]


def test_wrong_use_is_a_value_error(tmp_path: Path) -> None:
    frames = colours()
    with pytest.raises(ValueError, match=r"\.jpg"):
        animate(frames, RATE, tmp_path / "blade.jpg")
    with pytest.raises(ValueError, match="rates"):
        animate(frames, 0, tmp_path / "blade.png")
    with pytest.raises(ValueError, match="frames must be"):
        animate(frames[:0], RATE, tmp_path / "blade.png")
    assert not list(tmp_path.iterdir())
