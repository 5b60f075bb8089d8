"""Who sits at a board: whose layer it draws on, where it sends, and what stands for it on the device."""

import uuid
from dataclasses import dataclass
from typing import Any

from bodymaps import kinds
from bodymaps.kinds import Kind
from charting.drawing import device
from charting.drawing.models import BoardEvent, DrawnBy, PaperSheet


@dataclass(frozen=True)
class Sitting:
    """One board as it is opened.

    `by_patient`: the device is in the patient's hands, or a helper's, and speaks to the patient.
    `holder` names what this board leaves on the device. `urls` are its addresses: "save" (events),
    "areas" (the page after drawing), "board" (back to drawing), "done" (the way out), "words" (in JSON);
    for what was left on a device when its board closed: "key" (the device key again), "rest" (events).
    """

    layer: DrawnBy
    by_patient: bool
    holder: uuid.UUID
    urls: dict[str, str]
    sheet: PaperSheet | None = None
    helper: str = ""
    # How far the person is who was given the device, "Step 2 of 5: your drawing", for the board and for the
    # page after it; and what the button there leads to.
    place: str = ""
    place_after: str = ""
    leads_to: str = "Finish"

    def owns(self, row: BoardEvent) -> bool:
        """Whether this board may take the row back: the same layer, and the same paper if there is one."""
        return row.drawn_by == self.layer and row.sheet_id == (self.sheet.pk if self.sheet else None)

    @property
    def kinds(self) -> tuple[Kind, ...]:
        """What this layer can show: findings for the clinician, symptoms for everybody else."""
        is_finding = self.layer == DrawnBy.CLINICIAN
        return tuple(kind for kind in kinds.load() if kind.finding == is_finding)

    @property
    def device(self) -> dict[str, Any]:
        """What the page needs to keep unacknowledged entries on the device: see charting.drawing.device."""
        return {
            "holder": str(self.holder),
            "key": device.key_of(self.holder),
            "key_url": self.urls["key"],
            "save_url": self.urls["rest"],
        }
