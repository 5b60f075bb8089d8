"""What a part says: figures, and whether what is promised holds."""

import os
import signal
import sys
from dataclasses import dataclass, field
from time import monotonic


@dataclass
class Told:
    """The lines of one part; a promise that does not hold makes the whole run fail."""

    broken: list[str] = field(default_factory=list)
    began: float = field(default_factory=monotonic)

    def __post_init__(self) -> None:
        # Stopped from outside, it still ends its servers and removes its folders.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))

    def figure(self, words: str) -> None:
        print(f"  {words}", flush=True)

    def so_far(self, words: str) -> None:
        """For whoever waits."""
        print(f"  {monotonic() - self.began:4.0f} s  {words}", flush=True)

    def promise(self, words: str, holds: bool) -> None:
        print(f"  {'pass' if holds else 'FAIL'}  {words}", flush=True)
        if not holds:
            self.broken.append(words)

    def end(self) -> int:
        """How long it took and how busy the machine was; the exit code."""
        self.figure(f"{monotonic() - self.began:.0f} s; load of the machine {os.getloadavg()[0]:.1f}")
        return int(bool(self.broken))


def percentile(times: list[float], share: float) -> float:
    """The value that `share` (0 to 1) of the times do not pass; 0 for none."""
    ordered = sorted(times)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))] if ordered else 0.0
