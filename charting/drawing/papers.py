"""How a drawing copied from paper reads in the chart."""

from collections.abc import Iterable

from charting.drawing.models import DrawnBy, PaperSheet


def on_paper(sheet: PaperSheet) -> str:
    """On paper, 24 November 2026, entered by Mara Steiner."""
    day = sheet.drawn_on
    return f"On paper, {day.day} {day:%B} {day.year}, entered by {sheet.entered_by}"


def drawn_on_paper(sheets: Iterable[PaperSheet]) -> tuple[str, ...]:
    """A sentence for each paper, with who drew on it."""
    return tuple(f"{on_paper(sheet)}. Drawn by: {drawn_by(sheet)}." for sheet in sheets)


def drawn_by(sheet: PaperSheet) -> str:
    """patient, or helper (daughter)."""
    who = DrawnBy(sheet.drawn_by).label.lower()
    return f"{who} ({sheet.helper})" if sheet.helper else who
