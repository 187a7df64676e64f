"""Contrast of every pair of colours that the themes put together, by the formula of WCAG 2."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import webapp

CSS = Path(webapp.__file__).parent / "static" / "css"
TOKENS = (CSS / "tokens.css").read_text()
HUE = re.compile(r"(--hue-[a-z-]+):\s*(#[0-9a-f]{6})")
PURPOSE = re.compile(r"(--color-[a-z-]+):\s*var\((--hue-[a-z-]+)\)")
BLOCK = re.compile(r"^\s*(:root[^{\n]*) \{(.*?)^\s*\}", re.M | re.S)
GROUNDS = ("page", "sheet", "wash")
TEXTS = ("text", "muted", "action", "holds", "tight", "fails", "unchecked")
ON_ITS_OWN = (
    ("on-action", "action"),
    ("on-case", "case"),
    ("on-tape", "tape"),
    ("text", "caution-wash"),
    ("text", "fails-wash"),
    ("fails", "fails-wash"),
)
PAPER = ("print.css", "labels.css")  # black on white in every theme
EDGES = ("line", "focus", "action")


def hues(selector):
    """Colours that the blocks with this selector set, the later over the earlier."""
    blocks = [body for found, body in BLOCK.findall(TOKENS) if found == selector]
    assert blocks, selector
    return dict(HUE.findall("".join(blocks)))


LIGHT = hues(":root")
DARK = hues(':root[data-theme="dark"]')
SUN = hues(':root[data-theme="sun"]')
THEMES = {"light": LIGHT, "dark": LIGHT | DARK, "sun": LIGHT | SUN}


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def colour(theme, purpose):
    return THEMES[theme][dict(PURPOSE.findall(TOKENS))[f"--color-{purpose}"]]


def pairs(theme, texts, grounds=GROUNDS):
    return {
        f"{text} on {ground}": contrast(colour(theme, text), colour(theme, ground))
        for text in texts
        for ground in grounds
    }


def test_the_formula_gives_the_figures_of_the_standard():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # well known as just too little


@pytest.mark.parametrize(("theme", "least"), [("light", 4.5), ("dark", 4.5), ("sun", 11)])
def test_every_text_stands_out_from_its_ground(theme, least):
    found = pairs(theme, TEXTS) | {
        f"{text} on {ground}": contrast(colour(theme, text), colour(theme, ground)) for text, ground in ON_ITS_OWN
    }
    assert not {pair: round(ratio, 2) for pair, ratio in found.items() if ratio < least}


@pytest.mark.parametrize("theme", THEMES)
def test_body_text_has_seven_to_one(theme):
    assert min(pairs(theme, ("text",)).values()) >= 7


@pytest.mark.parametrize("theme", THEMES)
def test_borders_and_the_focus_ring_are_seen(theme):
    found = pairs(theme, EDGES, ("page", "sheet"))
    assert not {pair: round(ratio, 2) for pair, ratio in found.items() if ratio < 3}


def test_dark_is_one_list_twice():
    assert hues(':root:not([data-theme="light"], [data-theme="sun"])') == DARK


def test_every_theme_says_every_colour():
    assert LIGHT.keys() == DARK.keys() == SUN.keys()


def test_no_other_sheet_names_a_colour():
    others = [path for path in CSS.rglob("*.css") if path.name not in ("tokens.css", *PAPER)]
    named = [(path.name, found) for path in others for found in re.findall(r"#[0-9a-fA-F]{3,8}\b", path.read_text())]
    assert not named
