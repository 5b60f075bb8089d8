"""`make machines`: both trials, each in a process of its own; prints figures."""

import subprocess
import sys

TRIALS = ("three", "replica")

if __name__ == "__main__":
    codes = [subprocess.run([sys.executable, "-m", f"tests.machines.{each}"]).returncode for each in TRIALS]
    sys.exit(max(codes))
