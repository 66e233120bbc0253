"""Base of all records, and the field types that read what people write."""

import re
from collections.abc import Callable, Mapping
from typing import Annotated, Any, TypeAlias

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationError,
)
from pydantic_core import CoreSchema, InitErrorDetails, PydanticCustomError, core_schema

from swapwright.model.ends import End, end_forms, read_end
from swapwright.model.facts import fact_book, facts_of
from swapwright.model.faults import nearest_name, quoted, with_article
from swapwright.model.values import Sort, Value, ValueFault, read_value
from swapwright.model.words import Subject

JsonSchema: TypeAlias = dict[str, Any]


class Record(BaseModel):
    """A frozen piece of a document; unknown names are faults."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        arbitrary_types_allowed=True,
        defer_build=True,  # only documents are validated by themselves: the rest is built within
    )


def complaint(fault: ValueFault) -> PydanticCustomError:
    """A value fault in the form that pydantic collects."""
    context = {
        "found": fault.found, "wanted": fault.wanted,
        "example": fault.example, "nearest": fault.nearest,
    }  # fmt: skip
    return PydanticCustomError("said_wrong", "{found}", context)


def _as_numbers(choices: tuple[str, ...]) -> list[float]:
    """Choices that an editor reads as numbers unless they stand in quotes: a bolt class 8.8."""
    return [float(each) for each in choices if NUMERIC.match(each)]


NUMERIC = re.compile(r"^\d+(\.\d+)?$")


def _scalar_schema(sort: Sort) -> JsonSchema:
    schema: JsonSchema = {"anyOf": [{"type": ["string", "number", "boolean"]}, LONG_FORM_SCHEMA]}
    schema["description"] = f"{sort.wanted}, unknown or absent"
    if sort.example:
        schema["examples"] = [sort.example]
    if sort.choices:
        schema["anyOf"] = [
            {"enum": [*sort.choices, *_as_numbers(sort.choices), "unknown", "absent"]},
            {"type": "string", "pattern": ", (measured|published|typical|guessed)$"},
            LONG_FORM_SCHEMA,
        ]
    return schema


_TEXT: JsonSchema = {"type": ["string", "number", "boolean"]}
LONG_FORM_SCHEMA: JsonSchema = {
    "type": "object",
    "additionalProperties": False,
    "properties": {
        "value": _TEXT,
        "readings": {"type": "array", "items": _TEXT},
        "basis": {"enum": ["measured", "published", "typical", "guessed"]},
        "by": {"type": "string", "description": "tool of the tool table"},
        "on": {"type": "string", "format": "date"},
        "who": {"type": "string"},
        "photo": {"type": "string"},
        "note": {"type": "string"},
    },
}


class Said:
    """Annotation of a field that holds one ``Value`` of a sort."""

    def __init__(self, sort: str, choices: tuple[str, ...] = ()) -> None:
        self.sort = Sort(sort, choices)

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, _schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> JsonSchema:
        return _scalar_schema(self.sort)

    def read(self, raw: object) -> Value:
        """Read the field."""
        if isinstance(raw, Value):
            return raw
        try:
            return read_value(raw, self.sort)
        except ValueFault as fault:
            raise complaint(fault) from None


class FactsOf:
    """Annotation of a ``facts:`` mapping of one kind of subject; all faults at once."""

    def __init__(self, *subjects: Subject) -> None:
        self.subjects = subjects

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, _schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> JsonSchema:
        book = fact_book()
        return {
            "type": "object",
            "additionalProperties": False,
            "properties": {
                name: {**_scalar_schema(book[name].sort), "title": book[name].label}
                | {"description": f"{book[name].sort.wanted}. {book[name].ask}"}
                for name in self.known
            },
        }

    @property
    def known(self) -> tuple[str, ...]:
        """Names that may stand here."""
        return tuple(dict.fromkeys(name for each in self.subjects for name in facts_of(each)))

    def read(self, raw: object) -> Mapping[str, Value]:
        """Read all facts of one subject."""
        if raw is None:
            return {}
        if not isinstance(raw, Mapping):
            raise complaint(
                ValueFault(quoted(raw), "facts by name", "facts: {mass_dressed: 142 kg}")
            )
        values: dict[str, Value] = {}
        errors: list[InitErrorDetails] = []
        for name, held in raw.items():
            try:
                values[name] = self._read_one(name, held)
            except ValueFault as fault:
                errors.append({"type": complaint(fault), "loc": (name,), "input": held})
        if errors:
            raise ValidationError.from_exception_data("facts", errors)
        return values

    def _read_one(self, name: str, held: object) -> Value:
        if isinstance(held, Value):
            return held
        definition = fact_book().get(name)
        if definition is None or not set(self.subjects) & set(definition.of):
            whose = " or ".join(self.subjects)
            wanted = f"a fact of {with_article(whose)}"
            if definition is not None:
                wanted += f" ({name} belongs to: {', '.join(definition.of)})"
            raise ValueFault(quoted(name), wanted, nearest=nearest_name(name, self.known))
        return read_value(held, definition.sort)


def _all_dims() -> Mapping[str, Sort]:
    """Dimensions of all forms; where two forms name one alike, the choices of both."""
    dims: dict[str, Sort] = {}
    for form in end_forms().values():
        for name, sort in form.dims.items():
            seen = dims.get(name, sort)
            choices = tuple(dict.fromkeys((*seen.choices, *sort.choices)))
            dims[name] = Sort(sort.name, choices)
    return dims


class AnyEnd:
    """Annotation of an end-form field."""

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, _schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> JsonSchema:
        forms = end_forms()
        dims = {name: _scalar_schema(sort) for name, sort in _all_dims().items()}
        halves = sorted({half for form in forms.values() for half in form.halves})
        long_form = {
            "type": "object",
            "additionalProperties": False,
            "required": ["form"],
            "properties": {
                "form": {"enum": list(forms)}, "half": {"enum": halves},
                "material": {"type": "string"},
            } | dims,
        }  # fmt: skip
        return {
            "anyOf": [{"type": "string", "examples": ["hose bead 36 mm", "unknown"]}, long_form]
        }

    @staticmethod
    def read(raw: object) -> End | None:
        """Read the field."""
        if isinstance(raw, End):
            return raw
        try:
            return read_end(raw)
        except ValueFault as fault:
            raise complaint(fault) from None


def _none_as(empty: Callable[[], object]) -> BeforeValidator:
    return BeforeValidator(lambda raw: empty() if raw is None else raw)


Listed = _none_as(list)
Mapped = _none_as(dict)
Text = Annotated[str, BeforeValidator(lambda raw: "" if raw is None else raw)]
Number: TypeAlias = Annotated[float, Field(allow_inf_nan=False)]
MaybeEnd: TypeAlias = Annotated[End | None, AnyEnd()]
Length: TypeAlias = Annotated[Value, Said("length")]
Spot: TypeAlias = tuple[Length, Length, Length]  # x, y, z
Area: TypeAlias = Annotated[Value, Said("area")]
Mass: TypeAlias = Annotated[Value, Said("mass")]
Current: TypeAlias = Annotated[Value, Said("current")]
Voltage: TypeAlias = Annotated[Value, Said("voltage")]
Power: TypeAlias = Annotated[Value, Said("power")]
Speed: TypeAlias = Annotated[Value, Said("speed")]
Spin: TypeAlias = Annotated[Value, Said("rotational speed")]
Temperature: TypeAlias = Annotated[Value, Said("temperature")]
Angle: TypeAlias = Annotated[Value, Said("angle")]
Day: TypeAlias = Annotated[Value, Said("date")]
Price: TypeAlias = Annotated[Value, Said("money")]
Hours: TypeAlias = Annotated[Value, Said("ratio")]
Share: TypeAlias = Annotated[Value, Said("ratio")]
YesNo: TypeAlias = Annotated[Value, Said("yes or no")]
Year: TypeAlias = Annotated[Value, Said("year")]
Whole: TypeAlias = Annotated[Value, Said("count")]
