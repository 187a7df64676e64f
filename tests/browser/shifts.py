"""What moves on a page by itself, as the browser notes it."""

from __future__ import annotations

from playwright.sync_api import Page

# What was not drawn has no place to move from, though Chromium counts it for boxes that scroll by themselves.
WATCH = """
    window.shifts = [];
    const place = ({ x, y, width, height }) => [x, y, width, height].map(Math.round).join(" ");
    new PerformanceObserver((list) => {
        for (const { sources, startTime, value } of list.getEntries())
            for (const { node, previousRect, currentRect } of sources) {
                if (!previousRect.width) continue;
                const what = (node?.outerHTML ?? node?.textContent ?? "gone").slice(0, 120);
                const told = `${value} at ${startTime} ms: ${place(previousRect)} -> ${place(currentRect)}: ${what}`;
                shifts.push({ node, startTime, told });
            }
    }).observe({ type: "layout-shift", buffered: true });
"""
TOLD = """([within, since]) => shifts
    .filter(({ node, startTime }) => startTime >= since && (node?.parentElement ?? document.body).closest(within))
    .map(({ told }) => told)"""


def moved(page: Page, within: str = "body", since: float = 0) -> list[str]:
    """What moved on a page that is WATCHed: how much, when, from where to where, and what it is."""
    told: list[str] = page.evaluate(TOLD, [within, since])
    return told
