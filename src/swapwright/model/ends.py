"""End forms: how a port ends, in a short text or field by field."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from swapwright.model.faults import nearest_name, quoted
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree
from swapwright.model.values import (
    NOTHING_SAID,
    Sort,
    Value,
    ValueFault,
    least_of,
    read_value,
    split_known_as,
)


@dataclass(frozen=True, slots=True)
class FormDefinition:
    """One way to end, with the dimensions that describe it."""

    name: str
    says: str
    main: str  # dimension that the short form gives; empty for none
    dims: Mapping[str, Sort]
    halves: tuple[str, ...] = ()


@dataclass(frozen=True)
class End:
    """How one port ends."""

    form: str
    half: str = ""  # empty: not said, or the form has no halves
    dims: Mapping[str, Value] = field(default_factory=dict)
    material: str = ""
    text: str = ""  # as written, when short

    def dim(self, name: str) -> Value:
        """One dimension; unknown when nothing was said."""
        return self.dims.get(name, NOTHING_SAID)

    @property
    def definition(self) -> FormDefinition:
        """The form's entry in the vocabulary."""
        return end_forms()[self.form]


@cache
def end_forms() -> Mapping[str, FormDefinition]:
    """All end forms by name, from ``vocabulary/ends.yaml``."""
    shipped = shipped_tree("swapwright.model", "vocabulary", "ends.yaml")
    return {name: _definition(name, tree) for name, tree in shipped.items()}


def _definition(name: str, tree: Tree) -> FormDefinition:
    assert isinstance(tree, dict)
    dims = tree.get("dims") or {}
    halves = tree.get("halves") or []
    assert isinstance(dims, dict) and isinstance(halves, list)
    return FormDefinition(
        name,
        str(tree["says"]),
        str(tree.get("main") or ""),
        {dim: _sort(spec) for dim, spec in dims.items()},
        tuple(str(half) for half in halves),
    )


def _sort(spec: Tree) -> Sort:
    if isinstance(spec, dict):
        choices = spec["choices"]
        assert isinstance(choices, list)
        return Sort("choice", tuple(str(choice) for choice in choices))
    return Sort(str(spec), least=least_of(str(spec)))


def read_end(raw: object) -> End | None:
    """Read an end form.

    Parameters
    ----------
    raw : str or mapping
        ``hose bead 36 mm``, ``thread male M10x1, published``,
        ``{form: flange, bolts: 3, bolt: M10}`` or ``unknown``.

    Returns
    -------
    end : End or None
        None when unknown.

    Raises
    ------
    ValueFault
        With what was found, what was wanted and an example.
    """
    if raw is None or raw == "unknown":
        return None
    if isinstance(raw, Mapping):
        return _from_mapping(raw)
    if isinstance(raw, str):
        return _from_text(raw)
    raise ValueFault("a list", "an end form", "hose bead 36 mm")


def _from_mapping(raw: Mapping[str, object]) -> End:
    words = {key: _word(raw, key) for key in ("form", "half", "material")}
    form = _form(words["form"])
    known = ("form", "half", "material", *form.dims)
    for key in raw:
        if key not in known:
            wanted = f"for {form.name}: " + ", ".join(known[1:])
            raise ValueFault(quoted(key), wanted, nearest=nearest_name(str(key), known))
    dims = {}
    for name, sort in form.dims.items():
        if name in raw:
            try:
                dims[name] = read_value(raw[name], sort)
            except ValueFault as fault:
                raise ValueFault(
                    f"{name}: {fault.found}", fault.wanted, fault.example, fault.nearest
                ) from None
    return End(form.name, _half(form, words["half"]), dims, words["material"])


def _word(raw: Mapping[str, object], key: str) -> str:
    held = raw.get(key) or ""
    if not isinstance(held, str):
        raise ValueFault(f"{key}: a list or several named values", f"one text under {key}")
    return held


def _from_text(raw: str) -> End:
    said, _, _ = split_known_as(raw)
    known_as = raw[len(said) :]
    name = max((form for form in end_forms() if _begins(said, form)), key=len, default="")
    form = _form(name or said)
    rest = said[len(form.name) :].strip()
    half = next((half for half in form.halves if _begins(rest, half)), "")
    rest = rest[len(half) :].strip()
    if not half:
        half = next((each for each in form.halves if rest.endswith(" " + each)), "")
        rest = rest.removesuffix(" " + half).strip() if half else rest
    dims = {}
    if rest and rest != "unknown":
        if not form.main:
            raise ValueFault(quoted(rest), f"{form.name} without a size", form.name)
        dims[form.main] = read_value(rest + known_as, form.dims[form.main])
    return End(form.name, half, dims, text=raw.strip())


def _begins(text: str, word: str) -> bool:
    return text == word or text.startswith(word + " ")


def _form(name: str) -> FormDefinition:
    forms = end_forms()
    if name not in forms:
        guess = nearest_name(name, forms) or nearest_name(name.rsplit(" ", 2)[0], forms)
        raise ValueFault(
            quoted(name),
            "an end form such as " + ", ".join(list(forms)[:6]),
            "hose bead 36 mm",
            guess,
        )
    return forms[name]


def _half(form: FormDefinition, word: str) -> str:
    if word and word not in form.halves:
        wanted = (
            "one of: " + ", ".join(form.halves) if form.halves else f"no half: {form.name} has none"
        )
        raise ValueFault(f"half {quoted(word)}", wanted, nearest=nearest_name(word, form.halves))
    return word
