"""The wiring sketch: where every symbol, conductor and word of a plan stands.

One drawing for the source and one a circuit, all of one width, so that they stack on a phone and stand in columns on a
desk and on paper. A bus bar runs down the left edge of each; what hangs on it goes down a lane, and branches step in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from webapp.pictures.lettering import SIZES_PX, Words, lettered, width_px
from webapp.pictures.network import Device, Lane, Network
from webapp.present.words import listed
from webapp.texts import _

WIDTH = 328.0  # a phone of 360 px less its edges: there one unit is one pixel
BAR_X = 3.0
FIRST_X = 34.0
STEP_IN = 30.0
LABEL_GAP = 24.0
ROW_H = 40.0
PAD = 5.0
TWO_COLUMNS = 3  # so many circuits keep to one page in two columns, whatever hangs on them
HALF = {  # of a symbol's height: conductors end there
    "battery": 12.0,
    "main": 14.0,
    "fuse": 14.0,
    "kit": 14.0,
    "switch": 13.0,
    "junction": 4.0,
    "converter": 14.0,
    "plug": 12.0,
    "load": 11.0,
    "inverter": 14.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Symbol:
    """A symbol by its middle."""

    key: str
    kind: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One drawing of the sketch."""

    tag: str
    heading: str
    height: float
    bar: str  # path of the bus bar down its edge; a hair longer, so that no gap shows between drawings
    conductors: tuple[str, ...]  # paths
    pairs: tuple[tuple[float, float], ...]  # where a cable is: the stroke that says two conductors
    nodes: tuple[tuple[float, float], ...]  # where conductors join
    symbols: tuple[Symbol, ...]
    words: tuple[Words, ...]
    said: str  # the drawing in words
    tag_width: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """One row of the table beside the sketch."""

    source: str
    via: str
    to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeGroup:
    """The rows of one circuit."""

    circuit: str
    place: str
    edges: tuple[Edge, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WiringView:
    source: Block
    circuits: tuple[Block, ...]
    table: tuple[EdgeGroup, ...]
    is_many: bool  # circuits for three columns on paper


def wiring_view(network: Network) -> WiringView:
    return WiringView(
        source=_source_block(network),
        circuits=tuple(_circuit_block(lane) for lane in network.lanes),
        table=_edges(network),
        is_many=len(network.lanes) > TWO_COLUMNS,
    )


@dataclass(slots=True)
class _Sheet:
    """What has been drawn so far."""

    conductors: list[str] = field(default_factory=list)
    pairs: list[tuple[float, float]] = field(default_factory=list)
    nodes: list[tuple[float, float]] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def down(self, x: float, from_y: float, to_y: float) -> None:
        if to_y > from_y:
            self.conductors.append(f"M{x:g} {from_y:g}V{to_y:g}")

    def write(self, x: float, top: float, *texts: tuple[str, str], **most: int) -> float:
        """Lines below each other from a top edge; the bottom edge."""
        words, bottom = lettered(x, top, WIDTH - x - 2, *texts, **most)
        self.words.extend(words)
        return bottom

    def block(self, *, tag: str, heading: str, height: float, said: str) -> Block:
        return Block(
            tag=tag,
            heading=heading,
            height=round(height, 1),
            bar=f"M{BAR_X:g} 0V{height + 1:g}" if tag else "",
            conductors=tuple(self.conductors),
            pairs=tuple(self.pairs),
            nodes=tuple(self.nodes),
            symbols=tuple(self.symbols),
            words=tuple(self.words),
            said=said,
            tag_width=round(_tag_px(tag), 1),
        )


# the source


def _source_block(network: Network) -> Block:
    sheet, y = _Sheet(), 0.0
    x = FIRST_X
    before = 0.0
    for device in network.source[:-1]:
        middle, y = _row(sheet, device, x, y)
        if device.kind != "battery":
            sheet.down(x, before, middle - HALF[device.kind])
        before = middle + HALF[device.kind]
        if device.kind == "battery" and network.inverter:
            y = _inverter(sheet, network, x, y)
    panel = network.source[-1]
    bottom = sheet.write(x + LABEL_GAP, y + PAD, (panel.title, "title"), (panel.note, "note")) + PAD
    sheet.down(x, before, bottom)
    sheet.symbols.append(Symbol(key=panel.key, kind="panel", x=x, y=bottom))
    said = _("Battery to panel: %(chain)s", chain=", ".join(device.title for device in network.source))
    return sheet.block(tag="", heading="", height=bottom, said=said)


def _inverter(sheet: _Sheet, network: Network, x: float, y: float) -> float:
    """The inverter on a branch of its own, with what stays on its outlets as words only; the bottom edge."""
    assert network.inverter is not None
    stay = _("On its outlets: %(loads)s.", loads=listed([load.title for load in network.outlets]))
    sheet.nodes.append((x, y))
    sheet.conductors.append(f"M{x:g} {y:g}H{x + STEP_IN:g}V{y + 8:g}")
    middle, bottom = _row(sheet, network.inverter, x + STEP_IN, y + 4)
    sheet.down(x + STEP_IN, y + 8, middle - HALF["inverter"])
    return sheet.write(x + STEP_IN + LABEL_GAP, bottom - PAD, (stay, "note"), most=99) + PAD


# a circuit


def _circuit_block(lane: Lane) -> Block:
    sheet = _Sheet()
    tag_px = _tag_px(lane.id)
    y = sheet.write(FIRST_X + tag_px + 8, 8, (lane.place, "title")) + 2
    y = max(y, 30.0)
    tap_y = y + 2
    sheet.conductors.append(f"M{BAR_X:g} {tap_y:g}H{FIRST_X:g}V{tap_y + 4:g}")
    bottom = _lane(sheet, lane.first, FIRST_X, y, tap_y + 4)
    said = _("Circuit %(id)s to %(place)s: %(devices)s", id=lane.id, place=lane.place, devices=_in_words(lane.first))
    return sheet.block(tag=lane.id, heading=lane.place, height=bottom + 6, said=said)


def _lane(sheet: _Sheet, device: Device, x: float, y: float, from_y: float) -> float:
    """A device and all behind it, down from a top edge, on a conductor that starts at from_y; the bottom edge."""
    if device.via:
        top = y
        y = sheet.write(x + LABEL_GAP, y + PAD, *((via, "cable") for via in device.via)) + PAD
        sheet.pairs.append((x, (top + y) / 2))
    middle, y = _row(sheet, device, x, y)
    sheet.down(x, from_y, middle - HALF[device.kind])
    after = middle + HALF[device.kind]
    if len(device.behind) == 1:
        return _lane(sheet, device.behind[0], x, y, after)
    return _branches(sheet, device.behind, x, y, after)


def _branches(sheet: _Sheet, devices: Sequence[Device], x: float, y: float, from_y: float) -> float:
    """Several things behind one, each on a lane of its own one step in; the bottom edge."""
    tap_y = from_y
    for device in devices:
        tap_y = y + 2
        sheet.nodes.append((x, tap_y))
        sheet.conductors.append(f"M{x:g} {tap_y:g}H{x + STEP_IN:g}V{tap_y + 4:g}")
        y = _lane(sheet, device, x + STEP_IN, y, tap_y + 4)
    if devices:
        sheet.down(x, from_y, tap_y)
    return y


def _row(sheet: _Sheet, device: Device, x: float, y: float) -> tuple[float, float]:
    """A symbol with its words beside it; the middle of the symbol and the bottom edge of the row."""
    texts = ((device.title, "title"), (device.note, "note"))
    _, tall = lettered(0, 0, WIDTH - x - LABEL_GAP - 2, *texts)
    height = max(ROW_H, tall + 2 * PAD)
    middle = y + ROW_H / 2
    sheet.write(x + LABEL_GAP, y + (height - tall) / 2, *texts)
    sheet.symbols.append(Symbol(key=device.key, kind=device.kind, x=x, y=middle))
    return middle, y + height


def _tag_px(tag: str) -> float:
    return width_px(tag, SIZES_PX["title"], bold=True) + 12


def _in_words(device: Device) -> str:
    """A device and what is behind it, as a sentence goes."""
    own = ", ".join((*device.via, device.title))
    behind = [_in_words(each) for each in device.behind]
    if not behind:
        return own
    return f"{own}, {behind[0]}" if len(behind) == 1 else f"{own} ({'; '.join(behind)})"


# the table


def _edges(network: Network) -> tuple[EdgeGroup, ...]:
    source = [
        Edge(source=one.title, via="", to=other.part)
        for one, other in zip(network.source, network.source[1:], strict=False)
    ]
    if network.inverter:
        via = _("its own cable and fuse, as installed")
        source.append(Edge(source=network.source[0].title, via=via, to=network.inverter.part))
    source += [Edge(source=_("Outlets"), via=_("mains: not drawn"), to=load.part) for load in network.outlets]
    panel = network.source[-1].title
    lanes = [
        EdgeGroup(
            circuit=lane.id,
            place=lane.place,
            edges=(Edge(source=panel, via="", to=lane.first.part), *_edges_behind(lane.first)),
        )
        for lane in network.lanes
    ]
    return (EdgeGroup(circuit="", place=_("Battery to panel"), edges=tuple(source)), *lanes)


def _edges_behind(device: Device) -> Iterator[Edge]:
    for behind in device.behind:
        yield Edge(source=device.title, via="; ".join(behind.via), to=behind.part)
        yield from _edges_behind(behind)
