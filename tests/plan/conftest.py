"""The helpers that stand beside these tests, and those of the window that a plan stands on."""

import sys
from pathlib import Path

HERE = Path(__file__).parent
for folder in (HERE, HERE.parent / "window"):
    sys.path.insert(0, str(folder))
