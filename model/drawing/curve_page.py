"""A curve on a sheet of paper, as the curves themselves write it."""

from __future__ import annotations

from model.drawing.furniture import Heading, title
from model.drawing.paper import MARGIN, Paper
from model.drawing.svg import Page, Sheet


def curve_sheet(document: str, label: str, heading: Heading, paper: Paper) -> Sheet:
    """Return an SVG document on a sheet that lies on its side, as large as fits.

    Parameters
    ----------
    document : str
        SVG with a viewBox.
    label : str
        What it shows.
    heading : Heading
        Whose engine it is of.
    paper : Paper
        What it is printed on.
    """
    page = Page(paper.high, paper.wide, title=f"{label}, {heading.text}")
    room = page.wide - 2 * MARGIN
    # the curve's own title stands within it
    title(page, MARGIN, MARGIN, room, heading.text, heading.reason)
    page.picture(document, MARGIN, MARGIN + 13, room, page.high - 2 * MARGIN - 13)
    return Sheet(page.done(), page.wide, page.high)
