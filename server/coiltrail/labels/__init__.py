"""Labels for tagged parts, at a printer's exact dots."""

from .label import DPI, label_png

__all__ = ["DPI", "label_png"]
