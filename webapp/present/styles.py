"""Styles of fuse, as people call them."""

from __future__ import annotations

from webapp.texts import N_, _

STYLES = {
    "blade-small": N_("Small blade fuse"),
    "blade-regular": N_("Blade fuse"),
    "blade-large": N_("Large blade fuse"),
    "bolt-down": N_("Bolt-down fuse"),
    "cylinder-10x38": N_("Cylinder fuse 10 × 38 mm"),
    "cylinder-14x51": N_("Cylinder fuse 14 × 51 mm"),
    "cylinder-22x58": N_("Cylinder fuse 22 × 58 mm"),
}


def style_words(key: str) -> str:
    """What a style of fuse is called."""
    return _(STYLES[key]) if key in STYLES else key.replace("-", " ").capitalize()
