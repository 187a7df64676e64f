"""A form as data: what each field is called, what was typed, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from webapp import units
from webapp.forms import pointers
from webapp.forms.declared import Takes, takes
from webapp.forms.reading import Unreadable, read_text, written
from webapp.schemas.declared import problem
from webapp.texts import N_, _


@dataclass(frozen=True, slots=True, kw_only=True)
class Spec:
    """One field: its words as constants that `Field` translates, and where its value lives in the document."""

    name: str
    label: str
    pointer: str = ""  # empty: not a value of the document
    unit: str = ""
    hint: str = ""
    kind: str = "number"  # number, text, choice, tick
    quantity: str = "number"  # how a number is read: see forms.reading; money is typed as 4.50, held as 450 cents
    percent: bool = False  # typed as 80, held as 0.8
    optional: bool = False
    replaceable: bool = False  # may be left empty where other fields say it
    default: Any = None  # what its absence from a document means
    choices: tuple[tuple[str, str], ...] = ()
    named: bool = False  # the choices are names that people or catalogues gave: never translated
    step: float | None = (
        None  # a tap on less or more, in the unit shown; 0: no such buttons; None: as usual for its kind
    )
    help: tuple[str, ...] = ()  # how to find it out: see forms.help
    term: str = ""  # its word in the glossary: a key of present.glossary.TERMS


USUAL_STEPS = {
    "voltage": 0.5,
    "current": 5,
    "power": 5,
    "charge": 10,
    "length": 0.5,
    "time": 1,
    "percent": 1,
    "count": 1,
}
USUAL_PERCENT = 5  # of a share
FOOT_STEP = 1


@dataclass(slots=True, kw_only=True)
class Field:
    """A field as shown: its spec, the text in it, and its trouble if any."""

    spec: Spec
    text: str = ""
    error: str = ""
    mark: str = ""  # "assumed" or "typical", in the reader's language, while nobody has confirmed the value
    id: str = ""

    @property
    def label(self) -> str:
        """What it is called, in the reader's language."""
        return _(units.label(self.spec.label))

    @property
    def unit(self) -> str:
        """The unit it is shown and typed in."""
        return units.symbol(self.spec.unit)

    @property
    def hint(self) -> str:
        """What helps to fill it in, in the reader's language."""
        return units.in_words(_(self.spec.hint))

    @property
    def choices(self) -> tuple[tuple[str, str], ...]:
        """Value and words of each choice, in the reader's language."""
        if self.spec.named:
            return self.spec.choices
        return tuple((value, _(words)) for value, words in self.spec.choices)

    @property
    def needed(self) -> bool:
        """Whether it can never be left empty: what a browser may check by itself."""
        return not (self.spec.optional or self.spec.replaceable)

    @property
    def takes(self) -> Takes:
        """What may be typed, as the definition of the job has it."""
        return takes(self.spec, needed=self.needed)

    @property
    def step(self) -> float:
        """What a tap on less or more changes; 0 where nobody wants such buttons."""
        if self.spec.kind != "number":
            return 0
        if units.american() and self.spec.quantity in units.TYPED_UNITS:
            return FOOT_STEP if self.spec.quantity == "length" else 0
        if self.spec.step is not None:
            return self.spec.step
        return USUAL_PERCENT if self.spec.percent else USUAL_STEPS.get(self.spec.quantity, 0)

    @property
    def help(self) -> tuple[str, ...]:
        """How to find it out, in the reader's language."""
        return tuple(_(words) for words in self.spec.help)

    @property
    def ticked(self) -> bool:
        return self.text == "yes"


@dataclass(slots=True, kw_only=True)
class Form:
    """Fields by name, the revision they were shown as of, and trouble that belongs to no field."""

    fields: dict[str, Field] = field(default_factory=dict)
    revision: int | None = None  # None: not shown yet
    general: list[str] = field(default_factory=list)

    def __getitem__(self, name: str) -> Field:
        return self.fields[name]

    @property
    def faulty(self) -> list[Field]:
        return [each for each in self.fields.values() if each.error]

    @property
    def troubled(self) -> bool:
        return bool(self.faulty or self.general)

    @property
    def has_one_trouble(self) -> bool:
        return len(self.faulty) + len(self.general) == 1

    def any_error(self, *names: str) -> bool:
        """Whether one of these fields is in error: a closed part of the page then opens."""
        return any(self.fields[name].error for name in names if name in self.fields)

    def any_ticked(self, *names: str) -> bool:
        """Whether one of these boxes is ticked: what is said there must not be folded away."""
        return any(self.fields[name].ticked for name in names if name in self.fields)


def shown(specs: Sequence[Spec], document: Mapping[str, Any], *, at: str = "", mark: str = N_("assumed")) -> Form:
    """The form filled from a document; `at` is put before every pointer."""
    assumed = {"/".join(pointers.steps(pointer)) for pointer in document.get("assumed", [])}
    form = Form()
    for spec in specs:
        where = f"{at}{spec.pointer}"
        value = pointers.get_at(document, where) if spec.pointer else None
        value = spec.default if value is None else value
        unconfirmed = bool(spec.pointer) and "/".join(pointers.steps(where)) in assumed
        form.fields[spec.name] = Field(
            spec=spec, text=written(spec, value), mark=_(mark) if unconfirmed else "", id=f"f-{spec.name}"
        )
    return form


def posted(specs: Sequence[Spec], answers: Mapping[str, str]) -> tuple[Form, dict[str, Any]]:
    """What was sent, kept as typed, with every fault at once; and the values of the fields that could be read."""
    form, values = Form(), {}
    for spec in specs:
        text = answers.get(spec.name, "").strip()
        one = form.fields[spec.name] = Field(spec=spec, text=text, id=f"f-{spec.name}")
        try:
            values[spec.name] = read_text(spec, text)
        except Unreadable as trouble:
            one.error = str(trouble)
    return form, values


def judge_the_rest(form: Form) -> None:
    """Where a form cannot be stored as it is: what is wrong with what could be read, so that all is said at once."""
    for each in form.fields.values():
        if each.error or not each.spec.pointer or each.spec.kind not in ("number", "text"):
            continue
        with suppress(Unreadable):
            value = read_text(each.spec, each.text)
            each.error = "" if value is None else units.in_words(problem(each.spec.pointer, value))


def state(spec: Spec, document: dict[str, Any], value: Any, *, at: str = "") -> None:
    """Put a value into a document; a default that the document does not state stays unstated."""
    where = f"{at}{spec.pointer}"
    stored = pointers.get_at(document, where)
    if stored is None and kept(spec, spec.default, value) == spec.default:
        return
    pointers.put_at(document, where, kept(spec, stored, value))


def kept(spec: Spec, stored: Any, value: Any) -> Any:
    """The stored value where a field shows both alike: feet are shown rounded, and nobody has changed it."""
    if spec.kind != "number" or stored is None or value is None:
        return value
    return stored if written(spec, stored) == written(spec, value) else value


def place_faults(form: Form, faults: Sequence[Any], *, at: str = "", filled_in: Sequence[str] = ()) -> None:
    """Put the faults of a document beside the fields they belong to; the rest goes to the top.

    What we filled in follows from what was typed: while that is at fault, the rest of it says nothing new.
    """
    faults = [fault for fault in faults if fault.pointer not in filled_in] or faults
    homes = {
        "/".join(pointers.steps(f"{at}{each.spec.pointer}")): each for each in form.fields.values() if each.spec.pointer
    }
    for fault in faults:
        home = homes.get("/".join(pointers.steps(fault.pointer)))
        if home is None:
            form.general.append(f"{units.in_words(fault.message)} ({fault.pointer})")
        elif not home.error:
            home.error = units.in_words(fault.message)
