"""Time against size as an SVG, drawn by hand so that it needs no library and reads in light and in dark."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median
from xml.sax.saxutils import escape

from tests.benchmarks import figures
from tests.benchmarks.figures import Record
from tests.benchmarks.suite import Group

WIDTH, HEIGHT = 720, 430
LEFT, RIGHT, TOP, BOTTOM = 62, 16, 96, 50
SECONDS = (0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300)
STYLE = """
  .ground { fill: #ffffff } .grid { stroke: #d7d7d2 } text { fill: #22221f; font: 13px sans-serif }
  .a { stroke: #8a5a00; fill: #8a5a00 } .b { stroke: #00647a; fill: #00647a }
  .c { stroke: #1f6b2c; fill: #1f6b2c } .d { stroke: #a3261f; fill: #a3261f }
  .line { fill: none; stroke-width: 2 } .late { fill: none; stroke-width: 2 } .title { font-weight: bold }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #17181a } .grid { stroke: #3b3d40 } text { fill: #ececea }
    .a { stroke: #f0b64b; fill: #f0b64b } .b { stroke: #62cbe0; fill: #62cbe0 }
    .c { stroke: #7fd38b; fill: #7fd38b } .d { stroke: #ff8f85; fill: #ff8f85 }
    .line, .late { fill: none }
  }
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A median time at a size; `is_late` where it was not reached and the time is only how long was waited."""

    loads: int
    seconds: float
    is_late: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    name: str
    css: str
    mark: str  # circle, square, diamond, triangle: told apart without colour too
    points: tuple[Point, ...]


Timed = Callable[[Record], float]


def series_of(groups: Sequence[Group], records: Sequence[Record]) -> list[Series]:
    """First plan, within 1 % and proof of the product, and the proof of its peer."""
    wanted: list[tuple[str, str, str, str, Timed]] = [
        ("first plan", "a", "circle", "thriftloom", figures.first_s),
        ("within 1 %", "b", "square", "thriftloom", lambda r: figures.within_s(r, 0.01)),
        ("proven", "c", "diamond", "thriftloom", figures.proven_s),
        ("plain HiGHS with our feeds, proven", "d", "triangle", "pruned", figures.proven_s),
    ]
    found = []
    for name, css, mark, kind, timed in wanted:
        points = [
            _point(group.loads, [r for r in records if r["group"] == group.key and r["kind"] == kind], timed)
            for group in groups
            if group.loads
        ]
        known = tuple(point for point in points if point is not None)
        if known:
            found.append(Series(name=name, css=css, mark=mark, points=known))
    return found


def _point(loads: int, records: Sequence[Record], timed: Timed) -> Point | None:
    times = [(timed(record), float(record["limit_s"])) for record in records]
    if not times:
        return None
    waited = median(min(seconds, limit_s) if math.isinf(seconds) else seconds for seconds, limit_s in times)
    late = sum(math.isinf(seconds) for seconds, _ in times)
    return Point(loads=loads, seconds=waited, is_late=2 * late > len(times))


def svg(series: Sequence[Series], caption: str) -> str:
    """The plot: loads across, seconds up, both by factors; hollow marks were not reached in that time."""
    sizes = sorted({point.loads for one in series for point in one.points})
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-labelledby="t d">',
        '<title id="t">Time against the number of loads</title>',
        f'<desc id="d">{escape(_told(series))}</desc>',
        f"<style>{STYLE}</style>",
        f'<rect class="ground" width="{WIDTH}" height="{HEIGHT}"/>',
        f'<text class="title" x="{LEFT}" y="22">Time against the number of loads</text>',
        f'<text x="{LEFT}" y="42">{escape(caption)}</text>',
        *_grid(sizes),
        *_key(series),
    ]
    for one in series:
        parts += _drawn(one, sizes)
    return "\n".join([*parts, "</svg>", ""])


def _told(series: Sequence[Series]) -> str:
    """The figures in words, for who cannot see them."""
    told = []
    for one in series:
        points = (f"{p.loads} loads {'over ' if p.is_late else ''}{p.seconds:.3g} s" for p in one.points)
        told.append(f"{one.name}: {', '.join(points)}")
    return "; ".join(told)


def _x(loads: int, sizes: Sequence[int]) -> float:
    least, most = math.log(sizes[0]), math.log(sizes[-1])
    share = 0.5 if most == least else (math.log(loads) - least) / (most - least)
    return LEFT + 26 + share * (WIDTH - LEFT - RIGHT - 52)


def _y(seconds: float) -> float:
    least, most = math.log(SECONDS[0]), math.log(SECONDS[-1])
    share = (math.log(min(max(seconds, SECONDS[0]), SECONDS[-1])) - least) / (most - least)
    return HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)


def _grid(sizes: Sequence[int]) -> Iterator[str]:
    for seconds in SECONDS:
        y = _y(seconds)
        yield f'<line class="grid" x1="{LEFT}" y1="{y:.1f}" x2="{WIDTH - RIGHT}" y2="{y:.1f}"/>'
        yield f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{seconds:g} s</text>'
    for loads in sizes:
        yield f'<text x="{_x(loads, sizes):.1f}" y="{HEIGHT - BOTTOM + 22}" text-anchor="middle">{loads}</text>'
    yield f'<text x="{(LEFT + WIDTH - RIGHT) / 2}" y="{HEIGHT - 8}" text-anchor="middle">loads</text>'


def _key(series: Sequence[Series]) -> Iterator[str]:
    x = LEFT
    for one in series:
        yield _mark(one, x + 7, 66, is_late=False)
        yield f'<text x="{x + 20}" y="71">{escape(one.name)}</text>'
        x += 42 + round(7.4 * len(one.name))


def _drawn(one: Series, sizes: Sequence[int]) -> Iterator[str]:
    ordered = sorted(one.points, key=lambda point: point.loads)
    path = " ".join(f"{_x(p.loads, sizes):.1f},{_y(p.seconds):.1f}" for p in ordered)
    yield f'<polyline class="{one.css} line" points="{path}"/>'
    for point in ordered:
        yield _mark(one, _x(point.loads, sizes), _y(point.seconds), is_late=point.is_late)


def _mark(one: Series, x: float, y: float, *, is_late: bool) -> str:
    css = f"{one.css} late" if is_late else one.css
    if one.mark == "circle":
        return f'<circle class="{css}" cx="{x:.1f}" cy="{y:.1f}" r="5"/>'
    corners = {
        "square": ((-5, -5), (5, -5), (5, 5), (-5, 5)),
        "diamond": ((0, -7), (7, 0), (0, 7), (-7, 0)),
        "triangle": ((0, -7), (6, 5), (-6, 5)),
    }[one.mark]
    return f'<polygon class="{css}" points="{" ".join(f"{x + dx:.1f},{y + dy:.1f}" for dx, dy in corners)}"/>'
