"""How a drawing copied from paper reads in the chart."""

from collections.abc import Iterable

from charting.drawing.models import DrawnBy, PaperSheet


def on_paper(sheet: PaperSheet) -> str:
    """On paper, 24 November 2026, entered by Mara Steiner."""
    day = sheet.drawn_on
    return f"On paper, {day.day} {day:%B} {day.year}, entered by {sheet.entered_by}"


def with_helper(sheet: PaperSheet) -> str:
    """The same after the name of who helped: Daughter, on paper, 24 November 2026, ..."""
    words, who = on_paper(sheet), sheet.helper
    return f"{who[0].upper()}{who[1:]}, {words[0].lower()}{words[1:]}" if who else words


def drawn_on_paper(sheets: Iterable[PaperSheet]) -> tuple[str, ...]:
    """A sentence for each paper, with who drew on it."""
    return tuple(f"{on_paper(sheet)}. Drawn by: {drawn_by(sheet)}." for sheet in sheets)


def drawn_by(sheet: PaperSheet) -> str:
    """patient, or helper (daughter)."""
    who = DrawnBy(sheet.drawn_by).label.lower()
    return f"{who} ({sheet.helper})" if sheet.helper else who
