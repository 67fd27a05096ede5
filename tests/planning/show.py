"""Whether the heavy variant of a test is asked for: RANGEHAND_WHOLE_SHOW=1 flies all cases as the policy asks."""

from __future__ import annotations

import os

WHOLE = os.environ.get("RANGEHAND_WHOLE_SHOW") == "1"
