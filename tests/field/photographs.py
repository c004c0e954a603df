"""Real photographs, from packages of Debian, and what goes wrong when one is taken: shaken, soft, too dark, noisy.

Each is made half as large first, at most 1600 px, as a phone makes its pictures smaller before they are kept; so a
sharp one is sharp to the pixel. What blurs is measured in 1600ths of the long side.
"""

import io
import math
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

LONG_SIDE = 1600  # px that are kept

NATURE = Path("/usr/share/backgrounds/mate/nature")  # package mate-backgrounds
OF_PHONES = Path("/usr/share/backgrounds")  # package lomiri-wallpapers-16.04
SCENES = Path("/usr/share/wallpapers")  # package plasma-workspace-wallpapers

# All photographs of these packages that are 1280 px long or longer, but Storm, taken from a moving car.
# In DarkestHour, a lake in fog, nothing has an edge.
_NATURE = "Aqua Blinds Dune FreshFlower Garden GreenMeadow LadyBird RainDrops TwoWings Wood YellowFlower"
_OF_PHONES = (
    "Bridge_by_Sander_Klootwijk Dragonfly_by_Bolly Picture_0B_by_freespace Wine_by_Jakkub_Mede "
    "aitzgorri_by_Aitzol_Berasategi free_by_Peter_Nerlich friends_by_Aitzol_Berasategi greentock_by_Peter_Nerlich "
    "life_by_Aitzol_Berasategi picosdeeuropa_by_Aitzol_Berasategi seeding_by_Clements_Engelhardt "
    "sunset_by_Aitzol_Berasategi"
)
_SCENES = "BytheWater ColdRipple ColorfulCups DarkestHour EveningGlow FallenLeaf Grey Kite OneStandsOut Path summer_1am"
PHOTOGRAPHS = sorted(
    [NATURE / f"{name}.jpg" for name in _NATURE.split()]
    + [OF_PHONES / f"{name}.jpg" for name in _OF_PHONES.split()]
    + [SCENES / name / "contents/images/2560x1600.jpg" for name in _SCENES.split()],
    key=lambda path: path.parts[-4] if path.is_relative_to(SCENES) else path.stem,
)

Blur = Callable[[np.ndarray], np.ndarray]


def taken(path: Path) -> np.ndarray:
    """The photograph as the phone would keep it, RGB."""
    if not path.exists():
        raise FileNotFoundError(
            f"{path} is missing: apt-get install mate-backgrounds lomiri-wallpapers-16.04 plasma-workspace-wallpapers"
        )
    image = Image.open(path).convert("RGB")
    scale = min(0.5, LONG_SIDE / max(image.size))
    size = (round(image.width * scale), round(image.height * scale))
    return np.asarray(image.resize(size, Image.Resampling.LANCZOS)).astype(np.float32)


def out_of_focus(radius: float) -> Blur:
    """A lens set to another distance: each point becomes a disc."""

    def blur(picture: np.ndarray) -> np.ndarray:
        wide = radius * max(picture.shape) / LONG_SIDE
        reach = math.ceil(wide) + 1
        fine = (np.arange((2 * reach + 1) * 8) + 0.5) / 8 - 0.5 - reach
        disc = (fine[:, None] ** 2 + fine[None] ** 2 <= wide**2).reshape(2 * reach + 1, 8, 2 * reach + 1, 8)
        weights = disc.mean((1, 3)).astype(np.float32)
        return cv2.filter2D(picture, -1, weights / weights.sum())

    return blur


def shaken(length: float, degrees: float) -> Blur:
    """A hand that moved while the shutter was open: each point becomes a line."""

    def blur(picture: np.ndarray) -> np.ndarray:
        reach = max(1.0, length * max(picture.shape) / LONG_SIDE / 2)
        side = 2 * math.ceil(reach) + 3
        weights, centre = np.zeros((side, side), np.float32), side // 2
        for along in np.linspace(-reach, reach, 16 * side):
            x = centre + along * math.cos(math.radians(degrees))
            y = centre + along * math.sin(math.radians(degrees))
            left, top = int(x), int(y)
            for row, down in ((top, 1 - y + top), (top + 1, y - top)):
                for column, right in ((left, 1 - x + left), (left + 1, x - left)):
                    weights[row, column] += down * right
        return cv2.filter2D(picture, -1, weights / weights.sum())

    return blur


def soft(sigma: float) -> Blur:
    """Grease on the lens, or a lens that is no better: Gaussian."""
    return lambda picture: cv2.GaussianBlur(picture, (0, 0), sigma * max(picture.shape) / LONG_SIDE)


def darker(stops: float) -> Blur:
    """That many stops less light, by a display curve of 2.2."""
    return lambda picture: 255 * ((picture / 255) ** 2.2 / 2**stops) ** (1 / 2.2)


# Blur that hides a hairline or a bent pin in a picture of 1600 px. Origin of the sizes: estimate, from memory.
BLURS = {
    "soft 3": soft(3),
    "soft 5": soft(5),
    "soft 8": soft(8),
    "out of focus 6": out_of_focus(6),
    "out of focus 10": out_of_focus(10),
    "shaken 12 across": shaken(12, 0),
    "shaken 12 up and down": shaken(12, 90),
    "shaken 16 aslant": shaken(16, 30),
    "shaken 16 steeply": shaken(16, 65),
    "shaken 24 aslant": shaken(24, 120),
}


def smooth_part(seed: int) -> np.ndarray:
    """Drawn: a few smooth shapes with clean edges and no texture at all, as moulded plastic looks.

    Made smaller as phones do it: half a pixel of blur.
    """
    draws = np.random.default_rng(seed)
    picture = np.full((1200, 1600), draws.integers(60, 190), np.float32)
    for _ in range(draws.integers(2, 7)):
        centre = (int(draws.integers(300, 1300)), int(draws.integers(250, 950)))
        size = (int(draws.integers(80, 400)), int(draws.integers(60, 300)))
        shade, turn = float(draws.integers(20, 235)), float(draws.integers(0, 180))
        if draws.integers(2):
            cv2.ellipse(picture, centre, size, turn, 0, 360, shade, -1, cv2.LINE_AA)
        else:
            corners = cv2.boxPoints((centre, (2 * size[0], size[1]), turn)).astype(np.int32)
            cv2.fillPoly(picture, [corners], shade, cv2.LINE_AA)
    down, right = np.mgrid[:1200, :1600]
    lit = picture * (0.75 + 0.25 * np.cos(right / 900 + seed) * np.cos(down / 700))
    return np.dstack([cv2.GaussianBlur(lit.astype(np.float32), (0, 0), 0.5)] * 3)


def as_kept(picture: np.ndarray, noise: float, seed: int) -> np.ndarray:
    """With the sensor's noise (standard deviation in grey levels), as a JPEG of the phone's quality."""
    if noise:
        picture = picture + np.random.default_rng(seed).normal(0, noise, picture.shape)
    file = io.BytesIO()
    Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8)).save(file, "JPEG", quality=85)
    return np.asarray(Image.open(file))
