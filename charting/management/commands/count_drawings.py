"""Count every signed drawing that is not in the practice review yet, of all practices."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from charting.drawing.cells import keep_cells, without_cells
from charting.visits.models import Visit

AT_ONCE = 100


class Command(BaseCommand):
    """manage.py count_drawings. Can be broken off and started again at any time."""

    help = "Count signed drawings that are not in the practice review yet."

    def handle(self, *args: Any, **options: Any) -> None:
        done = 0
        while visits := tuple(without_cells(Visit.objects.order_by("signed_at"))[:AT_ONCE]):
            keep_cells(visits)
            done += len(visits)
        self.stdout.write(f"{done} drawings counted.")
