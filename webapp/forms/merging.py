"""Two people at one form: what each of them changed, field by field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from webapp import units
from webapp.forms.fields import Form, Spec
from webapp.forms.reading import Unreadable, read_anywhere
from webapp.texts import _

Changes = Mapping[str, tuple[str, str]]  # by field: its text before and after
Filled = Mapping[str, Sequence[str]]  # by field: what it was told, and what we put there


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A field that both changed, each to something else."""

    spec: Spec
    yours: str
    theirs: str


def changes_between(before: Form, answers: Mapping[str, str]) -> dict[str, tuple[str, str]]:
    """What was typed into a form that showed something else. Browsers leave out a box that is not ticked."""
    typed = {
        name: (field.text, answers.get(name, "" if field.spec.kind == "tick" else field.text).strip())
        for name, field in before.fields.items()
    }
    return {name: (old, new) for name, (old, new) in typed.items() if not same(before[name].spec, old, new)}


def merge(now: Form, changes: Changes) -> tuple[dict[str, str], list[Clash]]:
    """The texts of a form as it stands now with the changes put in, and what clashes: there theirs is left.

    A field that says what it said before the change is changed; one that says what the change wants is left; one that
    says something else clashes.
    """
    texts = {name: field.text for name, field in now.fields.items()}
    clashes = []
    for name, (old, new) in changes.items():
        spec, theirs = now[name].spec, texts[name]
        if same(spec, old, new) or same(spec, theirs, new):
            continue
        if same(spec, theirs, old):
            texts[name] = new
        else:
            clashes.append(Clash(spec=spec, yours=new, theirs=theirs))
    return texts, clashes


def with_filled(now: Form, changes: Changes, filled: Sequence[Filled]) -> Changes:
    """The changes, where one did not know what we filled in ourselves: as if it had.

    Somebody left a field empty and we put in what is usual: who goes on from the empty field overwrites nobody.
    """
    known = {}
    for name, (old, new) in changes.items():
        spec, holds = now[name].spec, now[name].text
        pairs = [each[name] for each in filled if name in each]
        ours = any(same(spec, told, old) and same(spec, put, holds) for told, put in pairs)
        known[name] = (holds if ours else old, new)
    return known


def filled_in(told: Mapping[str, str], after: Form) -> dict[str, list[str]]:
    """What a form says now that it was not told: by field, what it was told and what we put there."""
    return {
        name: [told.get(name, ""), field.text]
        for name, field in after.fields.items()
        if not same(field.spec, told.get(name, ""), field.text)
    }


def same(spec: Spec, one: str, other: str) -> bool:
    """Whether two texts say the same, each in any of our languages: 12 and 12.0 do, 2.125 and 2,125."""
    one, other = one.strip(), other.strip()
    if one == other:
        return True
    if spec.kind != "number" or not (one and other):
        return False
    try:
        return bool(read_anywhere(spec, one) == read_anywhere(spec, other))
    except Unreadable:
        return False


def in_words(spec: Spec, text: str) -> str:
    """What a field says, for people: the words of a choice, a number with its unit."""
    if spec.kind == "tick":
        return _("Yes") if text == "yes" else _("No")
    if not text:
        return _("Left empty")
    if spec.kind == "choice":
        words = dict(spec.choices).get(text, text)
        return words if spec.named else _(words)
    return f"{text}\u00a0{units.symbol(spec.unit)}".rstrip("\u00a0")
