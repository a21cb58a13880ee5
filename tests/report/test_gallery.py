"""What an eye sees of frames, file names for styles, and the pictures of a move on disk."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from migrate.pipeline import scene_named
from migrate.report.gallery import file_stem, gallery_of, playable, save_pictures, seen
from migrate.report.pictures import before_after_grids, srgb_codes
from tests.report.report_files import demo_moved


def test_an_eye_sees_the_mean_light_of_twenty_milliseconds() -> None:
    frames = np.zeros((12, 1, 3), dtype=np.uint8)
    frames[1::2] = 255
    # 5 frames with 2 lit, 5 with 3 lit, 2 with 1 lit: 102, 153, and 127.5 rounded up.
    assert seen(frames, 250)[:, 0, 0].tolist() == [102, 153, 128]
    assert seen(frames, 50) is frames


def test_a_rate_that_does_not_divide_is_refused_and_scenes_are_made_to_divide() -> None:
    with pytest.raises(ValueError, match="60"):
        seen(np.zeros((6, 1, 3), dtype=np.uint8), 60)
    for name in ("probe", "evening"):
        assert playable(scene_named(name)).rate % 50 == 0


@given(st.text(max_size=30))
def test_a_file_name_is_always_plain(name: str) -> None:
    stem = file_stem(name)
    assert stem and all(c.isascii() and (c.isalnum() or c in "_-") for c in stem)


def test_pictures_of_a_move_show_its_frames_and_none_overwrites_another(tmp_path: Path) -> None:
    moved, options = demo_moved()
    one = next(s for s in moved.styles if s.name == "lamp_oil")
    paths = list(save_pictures(replace(moved, styles=(one, one)), options, tmp_path))
    assert [p.name for p in paths] == ["lamp_oil.png", "lamp_oil-2.png"]
    gallery = gallery_of(moved, options)
    assert gallery is not None
    pair = gallery.pair("lamp_oil", scene_named("probe"))
    assert pair is not None and pair.after is not None
    drawn = np.asarray(Image.open(paths[0]).convert("RGB"))
    for grid, frames in zip(before_after_grids(*pair.before.shape[:2]), (pair.before, pair.after), strict=False):
        for t, i in ((100, 3), (180, 66), (400, 131)):
            x, y = grid.point(t, i)
            assert drawn[y, x].tolist() == srgb_codes(frames[t, i] / 255.0).tolist()


def test_a_style_that_asks_for_an_eye_gets_a_moving_picture_of_both_blades(tmp_path: Path) -> None:
    moved, options = demo_moved()
    one = replace(next(s for s in moved.styles if s.name == "toll_stick"), grade="changed")
    paths = list(save_pictures(replace(moved, styles=(one,)), options, tmp_path))
    assert [p.suffix for p in paths] == [".png", ".webp"]
    with Image.open(paths[1]) as moving:
        # Frames that are alike are written as one that lasts longer.
        assert moving.n_frames > 10 and moving.height == 2 * 88
