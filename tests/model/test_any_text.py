"""Whatever is done to a document's text: faults or an assembly, never an error of ours."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.model.folders import TEXTS

from swapwright.model.assemble import try_assemble
from swapwright.model.documents import read_documents

PHRASES = [
    "unknown", "absent", "null", "~", "no", "1:30", "0777", "nan", ".inf", "1e400", "[]", "{}",
    "[x]", "[[[", "}}", "&a", "*a", "!!int", "?", "|", "#", "'", '"', "²", "🙂", "car", "motor",
    "car.hot", "motor.hot", "hose-16", "heat", "finished", "fitted", "first start", "{x: y}",
    "", "-1 mm", "412 ± 5 mm", "4,12 mm", ": ", "- ", "\t", "\n", "\r\n", "\n\n  ", "|\n",
    "\x00", "\x85", "\u2028", "\ufeff", "formerly: [car]", "facts: {kerb_mass: 1 kg}",
    "ends: [a, b]", "9" * 400, "kind: build", "id: car", "format: 2", "there: no", "{value: []}",
    "{readings: [1 kg, 2 mm]}",
]  # fmt: skip
PIECES = st.sampled_from(PHRASES)
TEXT = st.one_of(PIECES, st.text(max_size=6))


@st.composite
def mutated(draw: st.DrawFn) -> dict[str, bytes]:
    texts = dict(TEXTS)
    for _ in range(draw(st.integers(1, 4))):
        name = draw(st.sampled_from(sorted(texts)))
        text = texts[name]
        start = draw(st.integers(0, len(text)))
        length = draw(st.sampled_from([0, 1, 2, 5, 12, 40]))
        texts[name] = text[:start] + draw(TEXT) + text[start + length :]
    raw = {name: text.encode("utf-8", "surrogatepass") for name, text in texts.items()}
    if draw(st.booleans()):
        name = draw(st.sampled_from(sorted(raw)))
        raw[name] = draw(st.sampled_from([raw[name][::2], raw[name].swapcase(), raw[name] * 2]))
    return raw


@st.composite
def values_swapped(draw: st.DrawFn) -> dict[str, bytes]:
    """One value of a line replaced: stays YAML more often than not."""
    texts = dict(TEXTS)
    for _ in range(draw(st.integers(1, 3))):
        name = draw(st.sampled_from(sorted(texts)))
        lines = texts[name].splitlines()
        number = draw(st.integers(0, len(lines) - 1))
        key, colon, _ = lines[number].partition(":")
        lines[number] = f"{key}{colon} {draw(TEXT)}"
        texts[name] = "\n".join(lines) + "\n"
    return {name: text.encode("utf-8", "surrogatepass") for name, text in texts.items()}


def use(texts: dict[str, bytes]) -> None:
    documents = read_documents(texts.items())
    made, found = try_assemble(documents)
    assert bool(found) is (made is None)
    for fault in found:
        assert fault.file and fault.found and fault.wanted
        assert "\n" not in fault.place and str(fault)
    if made is not None:
        for subject, name, value in made.facts_said():
            assert made.fact(subject, name) == value
        for port in made.ports:
            made.fate(port)


@given(mutated())
@settings(deadline=None, max_examples=400, suppress_health_check=[HealthCheck.too_slow])
def test_text_changed_at_random(texts: dict[str, bytes]) -> None:
    use(texts)


@given(values_swapped())
@settings(deadline=None, max_examples=400, suppress_health_check=[HealthCheck.too_slow])
def test_values_changed_at_random(texts: dict[str, bytes]) -> None:
    use(texts)


@given(st.binary(max_size=200))
@settings(deadline=None)
def test_any_bytes(raw: bytes) -> None:
    use({**{name: text.encode() for name, text in TEXTS.items()}, "more.yaml": raw})
