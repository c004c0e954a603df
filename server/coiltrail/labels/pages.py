"""Labels as a PDF at the printer's exact dots: a page a label for a roll, or many on a sheet of paper."""

import io

from PIL import Image, ImageDraw

from .label import dots

PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4)}  # mm; ISO 216, ANSI/ASME Y14.1
EDGE_MM = 5  # that most printers leave white (common practice, no source)
GAP_MM = 2  # between labels, for the scissors; the marks to cut by stand in it


def roll(pictures: list[Image.Image], dpi: int) -> bytes:
    """One page a label, as large as the label."""
    return _pdf(pictures, dpi)


def sheets(pictures: list[Image.Image], dpi: int, paper: str) -> bytes:
    """As many labels of one size on a sheet as fit. ``paper``: a key of PAPERS, else ValueError says what to give."""
    if paper not in PAPERS:
        raise ValueError(f"paper: give roll, {' or '.join(PAPERS)}.")
    width, height = pictures[0].size
    across, down = per_sheet(paper, width / dpi * 25.4, height / dpi * 25.4)
    each = across * down
    starts = range(0, len(pictures), each)
    return _pdf([_sheet(pictures[start : start + each], dpi, paper, across) for start in starts], dpi)


def per_sheet(paper: str, width_mm: float, height_mm: float) -> tuple[int, int]:
    """How many labels of that size fit across and down a sheet."""
    return tuple(
        int((whole - 2 * EDGE_MM + GAP_MM) // (one + GAP_MM))
        for whole, one in zip(PAPERS[paper], (width_mm, height_mm), strict=True)
    )


def _sheet(pictures, dpi, paper, across):
    page = Image.new("1", tuple(dots(mm, dpi) for mm in PAPERS[paper]), 1)
    pen = ImageDraw.Draw(page)
    edge, gap = dots(EDGE_MM, dpi), dots(GAP_MM, dpi)
    for index, picture in enumerate(pictures):
        row, column = divmod(index, across)
        left, top = edge + column * (picture.width + gap), edge + row * (picture.height + gap)
        page.paste(picture, (left, top))
        _mark(pen, left, top, left + picture.width - 1, top + picture.height - 1, gap // 2)
    return page


def _mark(pen, left, top, right, bottom, length):
    """Strokes outward from each corner, beside the label and never on it."""
    for x, outward in ((left, -1), (right, 1)):
        for y, up in ((top, -1), (bottom, 1)):
            pen.line((x + outward, y, x + outward * length, y), fill=0)
            pen.line((x, y + up, x, y + up * length), fill=0)


def _pdf(pages, dpi):
    file = io.BytesIO()
    pages[0].save(file, "PDF", resolution=dpi, save_all=True, append_images=pages[1:], producer="Coiltrail")
    return file.getvalue()
