"""The still picture: the same bytes for the same seed, a cake in the middle of it, a plain word without a renderer."""

from __future__ import annotations

from importlib.util import find_spec

import numpy as np
import pytest
from tests.finish.surfaces import surface

from tierwright.drawings import picture
from tierwright.drawings.picture import NoRenderer, Wanted, picture_of
from tierwright.drawings.smoothing import quieted
from tierwright.errors import OutOfRange
from tierwright.finish import Flowers, Look, Rim, Work, look_of
from tierwright.shapes import Outline

TINY = Wanted(width_px=36, height_px=44, samples=2, pass_samples=1)
needs_renderer = pytest.mark.skipif(find_spec("mitsuba") is None, reason="the extra called picture is not installed")


def cake() -> Look:
    board = Rim(outline=Outline.round(280.0))
    return look_of((surface(ground=board),), Work(), Flowers(), (), base_mm=12.0)


@needs_renderer
def test_the_same_seed_gives_the_same_bytes_and_another_gives_others() -> None:
    first, again = picture_of(cake(), TINY), picture_of(cake(), TINY)
    assert first.content == again.content
    assert first.content[:8] == b"\x89PNG\r\n\x1a\n"
    other = picture_of(cake(), Wanted(width_px=36, height_px=44, samples=2, pass_samples=1, seed=2))
    assert other.content != first.content


@needs_renderer
def test_it_shows_a_pale_cake_before_a_darker_room_and_stops_when_asked() -> None:
    from io import BytesIO

    from PIL import Image

    said: list[tuple[int, int]] = []

    def stop(done: int, of: int) -> bool:
        said.append((done, of))
        return done >= 2

    made = picture_of(cake(), Wanted(width_px=36, height_px=44, samples=9, pass_samples=1), kind="jpeg", report=stop)
    assert (made.samples, made.kind, said) == (2, "jpeg", [(1, 9), (2, 9)])
    pixels = np.asarray(Image.open(BytesIO(made.content)).convert("RGB")).astype(float)
    assert pixels.shape == (44, 36, 3)
    middle, corner = pixels[20:26, 14:22].mean(axis=(0, 1)), pixels[:5, :5].mean(axis=(0, 1))
    assert middle.mean() > corner.mean() + 20
    # Butter is yellow: it gives back less blue than red.
    assert middle[0] > middle[2] + 5


def test_without_the_renderer_there_is_a_plain_word_and_no_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture, "find_spec", lambda _name: None)
    with pytest.raises(NoRenderer, match="not installed"):
        picture_of(cake(), TINY)


@pytest.mark.parametrize("wrong", [{"width_px": 15}, {"height_px": 4001}, {"samples": 0}, {"pass_samples": 0}])
def test_sizes_and_samples_have_limits(wrong: dict[str, int]) -> None:
    with pytest.raises(OutOfRange):
        Wanted(**wrong)


def test_grain_goes_and_edges_stay() -> None:
    dice = np.random.default_rng(3)
    colour = np.full((24, 24, 3), 0.5, dtype=np.float32)
    colour[:, 12:] = 0.1
    flat = np.zeros((24, 24, 3), dtype=np.float32)
    clean = colour * 0.8
    grainy = (clean * dice.uniform(0.6, 1.4, clean.shape)).astype(np.float32)
    quiet = quieted(grainy, colour, flat, flat)
    assert np.abs(quiet - clean).mean() < 0.35 * np.abs(grainy - clean).mean()
    step = quiet[:, 11].mean() - quiet[:, 12].mean()
    assert step == pytest.approx(0.32, rel=0.1)
    assert quieted(clean, colour, flat, flat) == pytest.approx(clean, rel=1e-5)
