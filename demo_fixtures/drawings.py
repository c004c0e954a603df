"""Drawn pictures for the demo: connectors, plugs, coils, an engine bay, a reader's screen. Clearly drawings.

Each function gives the bytes of a JPEG of 1200 by 900 pixels without metadata, the same on every run of one Pillow.
"""

import io
import math
import random

from PIL import Image, ImageDraw, ImageFilter, ImageFont

WIDTH, HEIGHT = 1200, 900
_SCALE = 2  # drawn larger and reduced, so that edges are smooth

INK = "#23282d"
STEEL, DARK_STEEL, PALE_STEEL = "#9aa4ad", "#5f6870", "#cfd6dc"
PLASTIC, DARK_PLASTIC = "#3a4148", "#262b30"
CERAMIC, COPPER, AMBER, SOOT, RUST = "#f3efe6", "#b8793c", "#c98a1b", "#1d1a18", "#7a4a2b"
# What lies under the thing drawn: the top colour and the bottom colour.
GROUNDS = (
    ("#dfe6ea", "#b9c4cb"),
    ("#ece7dd", "#cfc6b6"),
    ("#e3e8e4", "#bcc7bf"),
    ("#e6e2ec", "#c3bccf"),
    ("#e9e2df", "#cdbfb9"),
    ("#dde8ea", "#b2c5ca"),
    ("#e8e8dc", "#c8c8b2"),
    ("#e2e4e8", "#b8bec8"),
)
WIRES = ("#c8452d", "#2f6db3", "#3a8f55")


class _Sheet:
    """A canvas in picture coordinates."""

    def __init__(self, seed: str, ground: int, darken: float = 1.0):
        top, bottom = (_rgb(colour, darken) for colour in GROUNDS[ground % len(GROUNDS)])
        self.draw_random = random.Random(seed)
        gradient = Image.new("RGB", (1, 2))
        gradient.putpixel((0, 0), top)
        gradient.putpixel((0, 1), bottom)
        size = (WIDTH * _SCALE, HEIGHT * _SCALE)
        self.image = gradient.resize((1, size[1]), Image.Resampling.BILINEAR).resize(size, Image.Resampling.NEAREST)
        self.pen = ImageDraw.Draw(self.image)

    def box(self, x, y, width, height, fill, radius=12, outline=INK, line=4):
        self.pen.rounded_rectangle(
            _scaled(x, y, x + width, y + height), radius * _SCALE, fill=fill, outline=outline, width=line * _SCALE
        )

    def oval(self, x, y, width, height, fill, outline=INK, line=4):
        self.pen.ellipse(_scaled(x, y, x + width, y + height), fill=fill, outline=outline, width=line * _SCALE)

    def shape(self, points, fill, outline=INK, line=4):
        flat = [(x * _SCALE, y * _SCALE) for x, y in points]
        self.pen.polygon(flat, fill=fill)
        if outline:
            self.pen.line([*flat, flat[0]], fill=outline, width=line * _SCALE, joint="curve")

    def path(self, points, fill, line):
        self.pen.line([(x * _SCALE, y * _SCALE) for x, y in points], fill=fill, width=line * _SCALE, joint="curve")

    def cable(self, start, end, sag, fill, line):
        """A hanging cable: a parabola that sags by ``sag``."""
        (x0, y0), (x1, y1) = start, end
        steps = [step / 40 for step in range(41)]
        points = [(x0 + (x1 - x0) * t, y0 + (y1 - y0) * t + sag * 4 * t * (1 - t)) for t in steps]
        self.path(points, INK, line + 6)
        self.path(points, fill, line)

    def stain(self, x, y, size, colour, drops=14):
        """A soft, irregular stain around a point."""
        side = round(size * 3) * _SCALE
        layer = Image.new("L", (side, side), 0)
        pen = ImageDraw.Draw(layer)
        for _ in range(drops):
            angle, away = self.draw_random.uniform(0, 2 * math.pi), self.draw_random.uniform(0, size * 0.6)
            radius = self.draw_random.uniform(size * 0.2, size * 0.5)
            cx, cy = size * 1.5 + math.cos(angle) * away, size * 1.5 + math.sin(angle) * away
            pen.ellipse(_scaled(cx - radius, cy - radius, cx + radius, cy + radius), fill=200)
        layer = layer.filter(ImageFilter.BoxBlur(size * 0.12 * _SCALE))
        corner = (round((x - size * 1.5) * _SCALE), round((y - size * 1.5) * _SCALE))
        self.image.paste(colour, (*corner, corner[0] + side, corner[1] + side), layer)

    def text(self, x, y, words, size, fill=INK, anchor="lm"):
        font = ImageFont.load_default(size * _SCALE)
        self.pen.text((x * _SCALE, y * _SCALE), words, fill=fill, font=font, anchor=anchor)

    def jpeg(self, caption: str) -> bytes:
        """The finished picture with its caption."""
        self.box(24, 838, 40 + 13 * len(caption), 44, "#ffffff", radius=22, outline=None)
        self.text(44, 860, caption, 24)
        target = io.BytesIO()
        self.image.reduce(_SCALE).save(target, "JPEG", quality=82)
        return target.getvalue()


def _rgb(colour, share=1.0):
    return tuple(round(int(colour[at : at + 2], 16) * share) for at in (1, 3, 5))


def _scaled(*numbers):
    return [number * _SCALE for number in numbers]


def connector(cylinder: int, finding: str = "good", ground: int = 0) -> bytes:
    """A coil connector pulled off: "good", "latch_broken", "oily", "burnt" or "corroded"."""
    sheet = _Sheet(f"connector {cylinder} {finding}", ground)
    for index, colour in enumerate(WIRES):
        sheet.cable((620 + index * 60, 640), (1180, 700 + index * 50), 60, colour, 22)
    sheet.box(470, 520, 380, 150, DARK_PLASTIC, radius=20)
    sheet.box(420, 240, 480, 300, PLASTIC, radius=28)
    sheet.box(460, 290, 400, 200, DARK_PLASTIC, radius=18)
    for index in range(3):
        sheet.box(506 + index * 120, 330, 70, 120, "#14171a", radius=10)
        pin = {"burnt": SOOT, "corroded": "#4e9a7c"}.get(finding if index == 1 else "good", COPPER)
        sheet.box(528 + index * 120, 348, 26, 84, pin, radius=6, line=3)
    tab = [(590, 240), (730, 240), (716, 120), (604, 120)]
    if finding == "latch_broken":
        sheet.shape([(590, 240), (730, 240), (724, 190), (690, 204), (660, 178), (630, 200), (596, 186)], PLASTIC)
        sheet.shape([(800, 150), (900, 120), (920, 180), (822, 206)], PLASTIC)
    else:
        sheet.shape(tab, PLASTIC)
        sheet.box(622, 140, 76, 34, PALE_STEEL, radius=8, line=3)
    if finding == "burnt":
        sheet.stain(660, 400, 130, SOOT)
        sheet.stain(700, 300, 60, RUST, drops=8)
    if finding == "corroded":
        sheet.stain(660, 400, 70, "#5fae8d")
    if finding == "oily":
        sheet.stain(640, 430, 170, AMBER)
        sheet.stain(700, 640, 90, AMBER, drops=8)
    sheet.text(110, 150, str(cylinder), 150, fill="#7f8c95", anchor="mm")
    return sheet.jpeg(f"Drawing: coil connector {cylinder}")


def plug(cylinder: int, finding: str = "good", ground: int = 0) -> bytes:
    """A spark plug on its side: "good", "worn", "oiled", "wet" or "cracked"."""
    sheet = _Sheet(f"plug {cylinder} {finding}", ground)
    sheet.box(90, 415, 90, 70, STEEL, radius=20)
    for index in range(5):
        sheet.box(180 + index * 56, 400 - (index % 2) * 12, 60, 100 + (index % 2) * 24, CERAMIC, radius=16)
    if finding == "cracked":
        sheet.path([(230, 392), (262, 430), (246, 452), (300, 505)], SOOT, 6)
    sheet.box(456, 360, 130, 180, STEEL, radius=8)
    sheet.path([(500, 366), (500, 534)], DARK_STEEL, 6)
    sheet.path([(544, 366), (544, 534)], DARK_STEEL, 6)
    sheet.box(586, 388, 40, 124, PALE_STEEL, radius=6)
    sheet.box(626, 396, 280, 108, STEEL, radius=6)
    for x in range(640, 900, 22):
        sheet.path([(x, 398), (x - 12, 502)], DARK_STEEL, 5)
    nose = {"oiled": SOOT, "wet": "#8a7a52"}.get(finding, "#d9b98a")
    sheet.box(900, 418, 86, 64, nose, radius=18)
    sheet.box(980, 436, 36, 28, COPPER if finding != "worn" else RUST, radius=6, line=3)
    gap = 66 if finding == "worn" else 30
    sheet.path([(900, 404), (1046 + gap - 30, 404), (1046 + gap - 30, 470)], INK, 34)
    sheet.path([(900, 404), (1046 + gap - 30, 404), (1046 + gap - 30, 466)], STEEL, 26)
    if finding == "oiled":
        sheet.stain(940, 450, 80, SOOT)
    if finding == "wet":
        sheet.stain(930, 470, 70, "#b7a56a", drops=9)
    sheet.text(600, 690, str(cylinder), 130, fill="#a39a88", anchor="mm")
    return sheet.jpeg(f"Drawing: spark plug {cylinder}")


def coil(cylinder: int, finding: str = "good", ground: int = 0) -> bytes:
    """A coil with its boot: "good", "tracked", "cracked" or "oil_in_well"."""
    sheet = _Sheet(f"coil {cylinder} {finding}", ground)
    sheet.box(110, 330, 330, 240, PLASTIC, radius=26)
    sheet.box(60, 380, 80, 140, DARK_PLASTIC, radius=16)
    sheet.oval(330, 250, 110, 110, DARK_PLASTIC)
    sheet.oval(362, 282, 46, 46, PALE_STEEL)
    sheet.box(440, 380, 180, 140, "#4a525a", radius=14)
    sheet.shape([(620, 388), (1040, 404), (1086, 420), (1086, 480), (1040, 496), (620, 512)], "#15181b")
    for x in range(660, 1030, 52):
        sheet.path([(x, 396), (x, 504)], "#2b3136", 8)
    sheet.oval(1068, 420, 36, 60, "#0c0e10")
    if finding == "tracked":
        sheet.path([(1080, 430), (980, 452), (930, 424), (850, 468), (780, 430), (700, 460), (622, 440)], "#e8e3d2", 7)
    if finding == "cracked":
        sheet.path([(180, 332), (214, 400), (196, 440), (250, 500), (240, 568)], "#d6d0c2", 7)
    if finding == "oil_in_well":
        sheet.stain(960, 460, 130, AMBER)
    sheet.text(600, 690, str(cylinder), 130, fill="#8b988f", anchor="mm")
    return sheet.jpeg(f"Drawing: coil {cylinder}")


def engine_bay(coils: int = 4, damage: bool = False, ground: int = 0) -> bytes:
    """An engine bay from above; with ``damage`` a cracked cover that was there before."""
    sheet = _Sheet(f"bay {coils} {damage}", ground, darken=0.4)
    sheet.box(60, 60, 1080, 760, "#454d54", radius=60, line=8)
    sheet.box(120, 110, 220, 170, "#202428", radius=14)
    sheet.text(230, 195, "+   -", 60, fill="#e8ecef", anchor="mm")
    sheet.oval(930, 120, 150, 150, "#e9edf0")
    sheet.oval(975, 165, 60, 60, "#2f6db3")
    sheet.box(880, 340, 200, 260, "#1f2327", radius=30)
    sheet.text(980, 470, "AIR", 44, fill="#9aa4ad", anchor="mm")
    sheet.cable((880, 420), (760, 330), -60, "#16191c", 60)
    sheet.box(300, 320, 520, 330, "#8b949c", radius=34, line=6)
    step = 480 / coils
    for index in range(coils):
        x = 320 + step * index + step / 2
        sheet.box(x - 36, 400, 72, 160, DARK_PLASTIC, radius=14)
        sheet.oval(x - 20, 500, 40, 40, PALE_STEEL)
        sheet.cable((x, 400), (x + 14, 350), -16, WIRES[index % 3], 12)
        sheet.text(x, 610, str(index + 1), 40, anchor="mm")
    sheet.cable((300, 350), (820, 350), -20, "#202428", 26)
    sheet.oval(180, 560, 90, 90, AMBER)
    sheet.text(225, 605, "OIL", 30, anchor="mm")
    if damage:
        sheet.path([(940, 360), (985, 420), (965, 470), (1020, 540), (1006, 592)], "#dfe5e9", 7)
    return sheet.jpeg("Drawing: engine bay" + (", cover cracked before" if damage else ""))


def reader(*codes: str, ground: int = 0) -> bytes:
    """A code reader's screen. The reader is nobody's."""
    sheet = _Sheet("reader " + " ".join(codes), ground)
    sheet.box(250, 90, 700, 700, "#394049", radius=70, line=8)
    sheet.box(320, 160, 560, 400, "#dbe8d2", radius=18, line=6)
    for row, code in enumerate(codes or ("no codes",)):
        sheet.text(370, 220 + row * 74, code, 56, fill="#26351f")
    for index in range(3):
        sheet.oval(390 + index * 160, 620, 100, 100, ("#c8452d", "#e9edf0", "#3a8f55")[index])
    return sheet.jpeg("Drawing: reader's screen")


def repair(position: int, ground: int = 0) -> bytes:
    """A new coil bolted down with a torque wrench."""
    sheet = _Sheet(f"repair {position}", ground)
    sheet.box(330, 380, 540, 330, "#8b949c", radius=30, line=6)
    sheet.box(480, 300, 240, 330, PLASTIC, radius=24)
    sheet.box(520, 200, 160, 110, DARK_PLASTIC, radius=18)
    sheet.oval(640, 540, 90, 90, PALE_STEEL)
    sheet.cable((600, 210), (220, 140), 60, WIRES[1], 24)
    sheet.path([(686, 584), (1090, 250)], INK, 46)
    sheet.path([(686, 584), (1090, 250)], PALE_STEEL, 34)
    sheet.path([(960, 358), (1090, 250)], "#c8452d", 34)
    sheet.text(600, 460, str(position), 110, fill="#9aa4ad", anchor="mm")
    return sheet.jpeg(f"Drawing: new coil at {position}")
