"""The nine places where a ball can land, laid out as the keys are."""

from __future__ import annotations

PAD = (
    "7 long left   8 long      9 long right",
    "4 left        5 PIN-HIGH  6 right         0 or x mishit",
    "1 short left  2 short     3 short right   - not seen",
)

ZONE_KEYS = {
    **{str(digit): f"z{digit}" for digit in range(1, 10)},
    "0": "x",
    "x": "x",
    "-": "-",
}
"""A key and what it types."""
