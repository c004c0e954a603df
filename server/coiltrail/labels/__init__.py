"""QR labels at a printer's exact dots, one by one, on a roll or on sheets."""

from .label import DPI, SIZES, draw, png
from .pages import PAPERS, roll, sheets

__all__ = ["DPI", "PAPERS", "SIZES", "draw", "png", "roll", "sheets"]
