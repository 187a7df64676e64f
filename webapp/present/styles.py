"""Styles of fuse, as people call them."""

from __future__ import annotations

import re

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
# The same before the word fuse, as in what a plan tells: plans hold the key.
BEFORE_FUSE = {
    "blade-small": N_("small blade"),
    "blade-regular": N_("blade"),
    "blade-large": N_("large blade"),
    "bolt-down": N_("bolt-down"),
    "cylinder-10x38": N_("10 × 38 mm cylinder"),
    "cylinder-14x51": N_("14 × 51 mm cylinder"),
    "cylinder-22x58": N_("22 × 58 mm cylinder"),
}
_KEYS = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, BEFORE_FUSE))})(?![\w-])")


def in_trade_words(text: str) -> str:
    """A text out of a plan with styles of fuses as people call them."""
    return _KEYS.sub(lambda key: _(BEFORE_FUSE[key.group()]), text)


def style_words(key: str) -> str:
    """What a style of fuse is called."""
    return _(STYLES[key]) if key in STYLES else key.replace("-", " ").capitalize()
