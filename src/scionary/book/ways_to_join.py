"""Which way to join a method is, as far as its name tells."""

from __future__ import annotations

# Words of a name, the narrower first; the way that they mean.
_TOLD_BY: tuple[tuple[tuple[str, ...], str], ...] = (
    (("t-bud", "t bud", "t-budding", "shield"), "t_bud"),
    (("chip",), "chip_bud"),
    (("approach", "inarch"), "approach"),
    (("bark graft", "rind"), "bark_graft"),
    (("inlay", "under the bark", "bark flap"), "side_inlay"),
    (("veneer",), "side_veneer"),
    (("whip", "tongue"), "whip_and_tongue"),
    (("splice",), "splice"),
    (("saddle",), "saddle"),
    (("cleft", "split"), "cleft"),
    (("wedge",), "top_wedge"),
    (("leafy",), "side_inlay"),
    (("side",), "side_veneer"),
)


def way_told_by(name: str) -> str:
    """The way to join that a method's name speaks of; empty where it speaks of none."""
    said = " ".join(name.casefold().replace("_", " ").split())
    return next((way for words, way in _TOLD_BY if any(word in said for word in words)), "")
