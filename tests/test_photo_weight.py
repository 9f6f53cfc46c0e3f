"""No picture weighs more than its share of what a phone loads at first, however noisy it is.

That whole pages hold their budget in a browser: ``tests/browser/test_budgets.py``.
"""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from handover.photos import encoding, prepare, prepare_photos, weights
from handover.record.evidence import Photo

VIEW = 220_000
"""Bytes for the photos of one view: 250 kB less 30 kB for the page and its style sheet."""


def photo(file: str, caption: str = "A test", **more: object) -> Photo:
    return Photo.model_validate({"file": file, "alt": "A test", "caption": caption, **more})


def noise(width: int, height: int, block: int = 1, seed: int = 1) -> Image.Image:
    """Blocks of random color, at the full contrast that no camera gives, cut so that they miss the codec's blocks."""
    few = np.random.default_rng(seed).integers(0, 2, (height // block + 2, width // block + 2, 3), dtype=np.uint8)
    full = np.kron(few * 255, np.ones((block, block, 1), np.uint8))
    return Image.fromarray(full[block // 2 : block // 2 + height, block // 2 : block // 2 + width])


@pytest.fixture
def job(tmp_path):
    (tmp_path / "job" / "photos").mkdir(parents=True)
    return tmp_path / "job"


def copies(job, tmp_path, *photos):
    """For each photo the bytes of its small copy, its large one (0 where it has none) and its fallback."""
    told = []
    for made in prepare_photos(photos, job, tmp_path / "site", tmp_path / "cache", str):
        sizes = {file.path.split("-")[-1]: (tmp_path / "site" / file.path).stat().st_size for file in made.files}
        told.append((sizes["768.webp"], sizes.get("1600.webp", 0), sizes["768.jpg"]))
    return told


@pytest.mark.parametrize("size", [(768, 576), (768, 1024), (768, 192), (768, 19), (80, 60)])
@pytest.mark.parametrize("block", [1, 2, 5, 8, 11, 17, 32])
def test_noise_of_every_grain_comes_within_the_least_share(size, block):
    (share, *_) = weights.shares([photo("a.jpg", "A")] * 40, [size] * 40)
    made = encoding.as_webp(noise(*size, block), (), share)
    assert len(made) <= share
    with Image.open(io.BytesIO(made)) as shown:
        assert shown.size == size


def test_shares_of_a_view_come_to_what_it_may_weigh():
    """Redone by hand: 4:3 and one line take 246 + 40 + 24 points; 3:4 take 437 + 64; of each no more than 600 count."""
    wide, high, tall = (768, 576), (768, 1024), (300, 1024)
    assert weights.shares([photo("a.jpg")], [wide]) == (VIEW,)
    assert weights.shares([photo("a.jpg"), photo("b.jpg")], [wide, high]) == (VIEW * 310 // 811, VIEW * 501 // 811)
    assert weights.shares([photo("a.jpg")] * 9, [wide] * 9)[0] == VIEW * 310 // 2440
    assert weights.shares([photo("a.jpg")] * 9, [tall] * 9)[0] == VIEW * 600 // 2440
    marked = photo("a.jpg", "x" * 61, marks=[{"kind": "ring", "x": "0", "y": "0", "says": "Here"}])
    assert weights.shares([marked] * 9, [wide] * 9)[0] == VIEW * (310 + 48) // 2440


@pytest.mark.parametrize("points", [110, 310, 501, 599, 600, 900])
def test_photos_that_reach_down_to_where_a_browser_still_loads_share_one_view(points):
    """From 150 points down as many as start above 740 + 1250, each as high as its share says or higher."""
    height = round((points - 64) * 768 / 328)
    (share, *_) = weights.shares([photo("a.jpg")] * 40, [(768, height)] * 40)
    started = sum(150 + place * points <= 740 + 1250 for place in range(40))
    assert started * share <= VIEW


def test_few_photos_keep_their_quality_and_many_share(job, tmp_path):
    names = [f"{number}.png" for number in range(12)]
    for seed, name in enumerate(names):
        noise(768, 576, 3, seed).resize((700, 525), Image.Resampling.BOX).save(job / "photos" / name)
    ((alone, _, fallback),) = copies(job, tmp_path, photo(names[0]))
    with Image.open(job / "photos" / names[0]) as picture:
        assert alone == len(encoding.as_webp(picture, (), VIEW))
    together = copies(job, tmp_path, *map(photo, names))
    assert all(small <= VIEW * 310 // 2440 < alone for small, _, _ in together)
    # Paper is made from the fallback, so nothing is taken from that.
    assert together[0][2] == fallback


def test_the_large_copy_has_a_ceiling_too(job, tmp_path):
    noise(2000, 1500, 2).save(job / "photos" / "a.jpg", quality=90)
    ((small, large, _),) = copies(job, tmp_path, photo("a.jpg"))
    assert small <= VIEW
    assert VIEW < large <= weights.LARGE


def test_a_tall_picture_sends_a_phone_no_heavy_copy(job, tmp_path):
    """Its small copy is narrower than the phone asks for, so browsers take the large one."""
    noise(900, 2400).save(job / "photos" / "a.png")
    entries = [photo("a.png", f"Nr. {number}") for number in range(6)]
    for small, large, _ in copies(job, tmp_path, *entries):
        assert max(small, large) <= VIEW * 600 // 2440


def test_an_ordinary_picture_is_the_same_whatever_its_share(job, tmp_path):
    Image.linear_gradient("L").resize((1600, 1200)).convert("RGB").save(job / "photos" / "a.png")
    first = copies(job, tmp_path, photo("a.png"))
    assert copies(job, tmp_path, *(photo("a.png", f"Nr. {number}") for number in range(12))) == first * 12


def test_another_share_makes_only_the_phone_copy_anew(job, tmp_path, monkeypatch):
    for seed, name in enumerate(("a.png", "b.png")):
        noise(1200, 900, 4, seed).save(job / "photos" / name)
    copies(job, tmp_path, photo("a.png"))
    made = []
    encoded = prepare._encodings

    def noted(data, header, entry, wanted, largest):
        made.extend((entry.file, copy.ending) for copy in wanted)
        return encoded(data, header, entry, wanted, largest)

    monkeypatch.setattr(prepare, "_encodings", noted)
    from_cache = copies(job, tmp_path, photo("a.png"), photo("b.png"))
    every = ("768.webp", "1600.webp", "768.jpg")
    assert sorted(made) == sorted([("a.png", "768.webp"), *(("b.png", ending) for ending in every)])
    monkeypatch.undo()
    (tmp_path / "anew").mkdir()
    assert copies(job, tmp_path / "anew", photo("a.png"), photo("b.png")) == from_cache
