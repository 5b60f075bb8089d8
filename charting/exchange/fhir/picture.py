"""A view of a drawing as an SVG file that stands alone: shapes only, no script, nothing fetched."""

from html import escape
from typing import Any

SIDE_BASELINE = 24


def svg_of(view: dict[str, Any]) -> str:
    """Of a view as the note keeps it (charting.drawing.picture.ViewPicture as plain data)."""
    left, top, _, _ = (float(number) for number in view["box"].split())
    shapes = "".join(_area(area) for area in view["areas"])
    marks = "".join(_badge(badge) for badge in view.get("badges") or [])
    spots = "".join(
        f'<path d="{spot["path"]}" fill="none" stroke="#111" stroke-width="4"/>'
        for spot in view.get("spots") or []
    )
    sides = "".join(
        f'<text x="{x}" y="{top + SIDE_BASELINE:g}" text-anchor="{anchor}">{escape(view[name])}</text>'
        for name, x, anchor in (
            ("left_side", view["left_edge"], "start"),
            ("right_side", view["right_edge"], "end"),
        )
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view["box"]}" role="img" '
        'font-family="sans-serif" font-size="24">'
        f"<title>{escape(view['title'])}</title><desc>{escape(view.get('words', ''))}</desc>"
        f'<path d="{view["outline"]}" fill="#f4f1ec" stroke="#555" stroke-width="2"/>'
        f"{shapes}{spots}{marks}{sides}</svg>"
    )


def _area(area: dict[str, Any]) -> str:
    return (
        f"<g><title>{escape(area['label'])}</title>"
        f'<path d="{area["path"]}" fill="{area["colour"]}" fill-opacity="0.45" fill-rule="evenodd"/>'
        f'<path d="{area["texture"]}" fill="none" stroke="{area["ink"]}" '
        f'stroke-width="{area["texture_width"]}"/></g>'
    )


def _badge(badge: dict[str, Any]) -> str:
    """The number of an area; the line that leads to it where it stands aside."""
    line = badge.get("line", "")
    lead = f'<path d="{line}" stroke="#111" stroke-width="2" fill="none"/>' if line else ""
    return (
        f'{lead}<circle cx="{badge["x"]}" cy="{badge["y"]}" r="{badge["radius"]}" fill="#fff" '
        'stroke="#111" stroke-width="2"/>'
        f'<text x="{badge["x"]}" y="{badge["baseline"]}" text-anchor="middle" font-size="32">'
        f"{badge['number']}</text>"
    )
