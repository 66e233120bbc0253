import pytest

from swapwright.quantity import Dimension, QuantityFault, read_measure, read_thread

# (written, one form, major diameter in mm). Pipe sizes: ISO 228-1 and ASME B1.20.1;
# numbered inch sizes 0.060 in + 0.013 in per number: ASME B1.1 (from memory).
FORMS = [
    ("M10x1", "M10x1", 10.0),
    ("M10x1.0", "M10x1", 10.0),
    ("M10 x 1", "M10x1", 10.0),
    ("M10X1", "M10x1", 10.0),
    ("M10×1", "M10x1", 10.0),
    ("M10", "M10x1.5", 10.0),
    ("M10x1.5", "M10x1.5", 10.0),
    ("M3.5", "M3.5x0.6", 3.5),
    ("M14x1.5-6g", "M14x1.5", 14.0),
    ("M14x1.5 LH", "M14x1.5 LH", 14.0),
    ("M10x1 keg", "M10x1 keg", 10.0),
    ("M10x1 taper", "M10x1 keg", 10.0),
    ("M26x1.5", "M26x1.5", 26.0),
    ("G 1/8", "G 1/8", 9.728),
    ("G1/8", "G 1/8", 9.728),
    ("G 1/8 A", "G 1/8", 9.728),
    ("1/8 BSPP", "G 1/8", 9.728),
    ("1/8-28 BSPP", "G 1/8", 9.728),
    ("G 1 1/4", "G 1 1/4", 41.910),
    ("R 1/4", "R 1/4", 13.157),
    ("1/4 BSPT", "R 1/4", 13.157),
    ("Rc 1/4", "Rc 1/4", 13.157),
    ("1/8 NPT", "1/8-27 NPT", 10.287),
    ("NPT 1/8", "1/8-27 NPT", 10.287),
    ("1/8-27 NPT", "1/8-27 NPT", 10.287),
    ("1/8 NPTF", "1/8-27 NPTF", 10.287),
    ("1 NPT", "1-11.5 NPT", 33.401),
    ("3/8-24", "3/8-24", 9.525),
    ("3/8-24 UNF", "3/8-24", 9.525),
    ("3/8-24 UNF-2A", "3/8-24", 9.525),
    ("3/8-24 UNF/UN", "3/8-24", 9.525),
    ("6/16-24", "3/8-24", 9.525),
    ("3/4-16", "3/4-16", 19.05),
    ("1 1/16-12", "1 1/16-12", 26.9875),
    ("1-1/16-12", "1 1/16-12", 26.9875),
    ("1-8", "1-8", 25.4),
    ("10-32", "#10-32", 4.826),
    ("#10-32", "#10-32", 4.826),
]


@pytest.mark.parametrize(("text", "form", "diameter"), FORMS)
def test_thread_has_one_form(text: str, form: str, diameter: float) -> None:
    measure = read_measure(text, Dimension.THREAD)
    assert measure.thread == form
    assert measure.nominal == pytest.approx(diameter / 1000, abs=5e-7)
    assert measure.text == text
    assert read_measure(text).thread == form


@pytest.mark.parametrize("form", sorted({form for _, form, _ in FORMS}))
def test_one_form_stays_itself(form: str) -> None:
    thread = read_thread(form)
    assert thread is not None
    assert thread.designation == form


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("M10x25", "no pitch"),
        ("M10x0", "no pitch"),
        ("M26", "with its pitch"),
        ("1/8 BSP", "parallel"),
        ("G 1/3", "pipe size"),
        ("1/8-28 NPT", "27 turns"),
        ("1/4-19 NPT", "18 turns"),
        ("#10-40", "numbered size"),
        ("3/8-99", "do not belong together"),
        ("18-22", "do not belong together"),
        ("4/3-16", "size in inches"),
        ("1/0-16", "size in inches"),
        ("10 mm", ""),
        ("10", ""),
        ("M", ""),
    ],
)
def test_thread_is_refused(text: str, said: str) -> None:
    with pytest.raises(QuantityFault) as caught:
        read_measure(text, Dimension.THREAD)
    assert said in str(caught.value)
    assert "wanted a thread" in str(caught.value)


@pytest.mark.parametrize("text", ["38 mm", "thread", "16 AWG", ""])
def test_other_text_is_no_thread(text: str) -> None:
    assert read_thread(text) is None
