"""The key under which a device keeps what the server has not acknowledged yet.

It is handed out with the board, lives in the page's memory only, and can be made again here as long as the
practice keeps its secret key; nothing on the device can. What is kept there is unreadable without the server.
"""

import base64
import uuid

from django.utils.crypto import salted_hmac

SALT = "charting.drawing.device"


def key_of(holder: uuid.UUID) -> str:
    """256 bits for AES-GCM, in base64, for one hand-over or one person's board of one visit."""
    return base64.b64encode(salted_hmac(SALT, str(holder), algorithm="sha256").digest()).decode()


def holder_of_staff(user_id: int, visit_id: uuid.UUID, layer: str, sheet_id: uuid.UUID | None) -> uuid.UUID:
    """What stands for a member of staff at one board: the same each time it is opened."""
    return uuid.uuid5(visit_id, f"{user_id} {layer} {sheet_id or ''}")
