"""The files of tests that take longest: they begin first, so that no core waits for another at the end.

In the order that `pytest --durations=0` told. A file that is not here takes a few seconds and begins in its
turn.
"""

from pathlib import Path

TESTS = Path(__file__).resolve().parent
FILES = (
    "test_tablet.py",
    "test_serve.py",
    "charting/report/test_pdf.py",
    "charting/report/test_blank.py",
    "charting/candidates/test_evidence.py",
    "bodymaps/test_atlas_file.py",
    "charting/notes/test_sign.py",
    "charting/report/test_same_bytes.py",
    "charting/access/test_matrix.py",
    "commands/test_atlas_commands.py",
    "charting/moving/test_move.py",
    "charting/access/test_reads_change_nothing.py",
    "charting/history/test_answers.py",
    "charting/notes/test_wording.py",
    "test_start.py",
    # In a browser. While one core makes the practice for the first file, the other has boards that need none.
    "browser/test_pages.py",
    "browser/test_board.py",
    "browser/test_nothing_lost.py",
    "browser/test_board_looks.py",
    "browser/test_without_drawing.py",
    "browser/test_pointers.py",
    "browser/test_neuro.py",
    "browser/test_atlas.py",
    "browser/test_own_patterns.py",
    "browser/test_reasoning.py",
    "browser/test_papers.py",
    "browser/test_areas.py",
    "browser/test_telling.py",
    "browser/test_outcomes.py",
    "browser/test_consent.py",
)
PLACES = {TESTS / name: place for place, name in enumerate(FILES)}


def place(file: Path) -> int:
    """Where a file stands: those of the list in its order, and all others after them."""
    return PLACES.get(file, len(FILES))
