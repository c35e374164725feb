"""How far the weather of the book may be from that at the dome, as a fit takes it."""

from __future__ import annotations

CLOCK_DOUBT_S = 1800.0  # project default, unsourced: between an hour's beginning and its end; the log itself tells it within minutes
SUN_DOUBT = 0.05  # project default, unsourced: the station's sun, taken by the hour, against the dome's own
