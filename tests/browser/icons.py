"""Draws the icons of the app: `python -m tests.browser.icons`. A tape that forks into circuits, out of its case."""

from __future__ import annotations

from tests.browser import real

ICONS = real.ROOT / "webapp" / "static" / "icons"
GREEN, TAPE = "#0d3a31", "#fbf3d9"
MARK = (
    '<path d="M3 16h7M10 16C16 16 14 7 21 7h8M10 16h19M10 16c6 0 4 9 11 9h8" fill="none" stroke="{tape}" '
    'stroke-width="3" stroke-linecap="round"/><rect x="7" y="11" width="5" height="10" fill="{tape}"/>'
)
# name: pixels, share of the width the mark takes, corner radius of 32
SHAPES = {
    "any-192": (192, 0.94, 6),
    "any-512": (512, 0.94, 6),
    "maskable-512": (512, 0.66, 0),  # the inner four fifths stay whatever the system cuts off
    "touch-180": (180, 0.78, 0),
}


def main() -> None:
    """Take a picture of each."""
    ICONS.mkdir(exist_ok=True)
    with real.chromium() as browser:
        for name, (pixels, share, corner) in SHAPES.items():
            page = browser.new_page(viewport={"width": pixels, "height": pixels})
            page.set_content(f"<body style='margin:0;background:transparent'>{_svg(pixels, share, corner)}</body>")
            path = ICONS / f"{name}.png"
            page.screenshot(path=path, omit_background=True)
            page.close()
            print(f"{path.relative_to(real.ROOT)}: {path.stat().st_size} bytes")


def _svg(pixels: int, share: float, corner: int) -> str:
    edge = 16 * (1 - share)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32" width="{pixels}" height="{pixels}" '
        f'style="display:block"><rect width="32" height="32" rx="{corner}" fill="{GREEN}"/>'
        f'<g transform="translate({edge} {edge}) scale({share})">{MARK.format(tape=TAPE)}</g></svg>'
    )


if __name__ == "__main__":
    main()
