"""Which ends mate: limits, symmetry over all pairs, and what is asked when it cannot be told.

Limits of play and stretch are common practice, from memory.
"""

from itertools import combinations_with_replacement, product

import pytest

from swapwright.crossings.fittings import describe, ends_from_fitting, thread_shape
from swapwright.crossings.laws import LAWS
from swapwright.crossings.mating import Mating, Verdict, forms_may_touch, mate
from swapwright.library.tables import fittings, mate_rows
from swapwright.model.ends import End, end_forms, read_end
from swapwright.model.values import read_value

YES, WARN, ASK, NO = Verdict.MATES, Verdict.WARNING, Verdict.UNKNOWN, Verdict.NOT


def told(mating: Mating) -> str:
    return "; ".join(message.text("metric") for message in mating.why)


def joined(a: object, b: object) -> Mating:
    """The mating, after a look that the other order says the same."""
    first, second = read_end(a), read_end(b)
    mating, back = mate(first, second), mate(second, first)
    assert_same(mating, back)
    return mating


def assert_same(mating: Mating, back: Mating) -> None:
    assert mating.verdict is back.verdict
    assert mating.why == back.why != ()
    assert (mating.through, mating.direct) == (back.through, back.direct)
    swap = {"first": "second", "second": "first"}
    turned = {f"{swap[w.split(' ', 1)[0]]} {w.split(' ', 1)[1]}" for w in back.wanted}
    assert set(mating.wanted) == turned
    if mating.verdict is ASK:
        assert mating.wanted


def every_end() -> list[End]:
    ends = {}
    for id, row in fittings().items():
        for half in ("", *end_forms()[row.form].halves):
            end = ends_from_fitting(id, half)
            ends[describe(end, "metric"), half] = end
    for name in end_forms():  # and every form without a size
        ends[name, ""] = End(name)
    return list(ends.values())


@pytest.mark.slow
def test_every_pair_of_table_ends_says_the_same_both_ways() -> None:
    """All pairs of sizes of forms that can meet; of forms that cannot, one pair of each half."""
    seen: dict[Verdict, int] = dict.fromkeys(Verdict, 0)
    ends = every_end()
    assert len(ends) > 500
    strangers = set()
    for a, b in combinations_with_replacement(ends, 2):
        if a.form != b.form and not forms_may_touch(a.form, b.form):
            kinds = (a.form, a.half, b.form, b.half)
            if kinds in strangers:
                continue
            strangers.add(kinds)
        mating = mate(a, b)
        assert_same(mating, mate(b, a))
        seen[mating.verdict] += 1
    assert all(count > 100 for count in seen.values()), seen


def test_no_end_or_an_unknown_one_asks_for_it() -> None:
    mating = mate(None, read_end("hose bead 36 mm"))
    assert mating.verdict is ASK
    assert mating.wanted == ("first end",)
    assert mate(None, None).wanted == ("first end", "second end")


# --- hoses


@pytest.mark.parametrize(
    ("bore", "barrel", "verdict"),
    [
        (36, 36, YES), (36, 37, YES), (36, 38, WARN), (36, 39, WARN), (36, 39.1, NO),
        (36, 35.5, YES), (36, 35.2, WARN), (36, 34.9, NO),
        # small hoses stretch less: 15 % freely, 25 % at most
        (4, 4.6, YES), (4, 5, WARN), (4, 5.1, NO), (6, 8, NO), (3, 4, NO), (13, 16, WARN),
        # inch hoses on metric barrels
        (38.1, 38, YES), (12.7, 13, YES), (31.75, 32, YES), (7.938, 8, YES), (9.525, 9, WARN),
    ],
)  # fmt: skip
def test_hose_over_barrel(bore: float, barrel: float, verdict: Verdict) -> None:
    mating = joined(f"hose end {bore} mm", f"hose bead {barrel} mm")
    assert mating.verdict is verdict
    assert mating.direct
    assert bool(mating.through) == verdict.joins


def test_hose_on_a_tube_without_bead_is_warned_of() -> None:
    for end in ("plain tube 8 mm", {"form": "hose bead", "barrel": "8 mm", "bead": "absent"}):
        mating = joined(end, "hose end 8 mm")
        assert mating.verdict is WARN
        assert "slide off" in told(mating)


@pytest.mark.parametrize(
    ("a", "b", "verdict"),
    [(36, 36, YES), (36, 37, YES), (36, 38, WARN), (16, 13, WARN), (16, 12.9, NO), (36, 40, NO),
     (8, 6, NO), (19, 16, WARN)],
)  # fmt: skip
def test_two_spigots_through_a_hose(a: float, b: float, verdict: Verdict) -> None:
    mating = joined(f"hose bead {a} mm", f"barb {b} mm")
    assert mating.verdict is verdict
    if verdict.joins:
        assert mating.through == f"hose {min(a, b)} mm and two clamps"
        assert not mating.direct
    else:
        assert "reducer" in told(mating)


def test_wide_spread_cannot_be_told_and_says_what_to_measure() -> None:
    mating = mate(read_end("hose bead 36 ± 3 mm, typical"), read_end("hose bead 36 mm"))
    assert mating.verdict is ASK
    assert mating.wanted == ("first barrel",)


def test_spread_that_flips_nothing_is_no_reason_to_ask() -> None:
    # bound 0.5 mm is 0.29 mm standard uncertainty; two of them stay within 1 mm
    assert joined("hose bead 36 ± 0.5 mm, typical", "hose bead 36 mm").verdict is YES
    assert joined("hose bead 36 ± 3 mm, typical", "hose bead 60 mm").verdict is NO


def test_verdict_flips_at_two_standard_uncertainties() -> None:
    # hose 40 mm on 40 mm: a band ends 0.5 mm below and 1 mm above the bore
    inside, outside = 0.49 * 3**0.5 / 2, 0.51 * 3**0.5 / 2
    assert joined(f"hose bead 40 ± {inside:.4f} mm", "hose end 40 mm").verdict is YES
    assert joined(f"hose bead 40 ± {outside:.4f} mm", "hose end 40 mm").verdict is ASK


def test_spreads_of_both_sizes_add_as_squares() -> None:
    # 0.2 mm standard on each side is 0.283 mm together, two of them more than the 0.5 mm of play;
    # 0.17 mm is 0.240 mm together, two of them less (JCGM 100:2008, 5.1.2)
    for standard, verdict in ((0.2, ASK), (0.17, YES)):
        spread = f"± {standard * 3**0.5:.4f} mm"
        assert joined(f"hose bead 40 {spread}", f"hose end 40 {spread}").verdict is verdict


def test_typical_size_without_spread_leaves_a_warning_and_asks() -> None:
    mating = mate(read_end("hose bead 36 mm, typical"), read_end("hose bead 36 mm"))
    assert mating.verdict is WARN
    assert mating.wanted == ("first barrel",)
    assert "rests on typical" in told(mating)


# --- threads


def thread(half: str, name: str, seal: str = "unknown") -> dict[str, str]:
    return {"form": "thread", "half": half, "thread": name, "seal": seal}


def test_same_thread_without_seal_asks_for_the_seal() -> None:
    ends = (thread("male", "M12x1.5", "washer face"), thread("female", "M12x1.5"))
    mating = mate(*(read_end(end) for end in ends))
    assert mating.verdict is ASK
    assert mating.wanted == ("second seal",)
    assert "same thread" in told(mating)


def test_same_thread_without_half_asks_for_the_half() -> None:
    mating = mate(read_end("thread M12x1.5"), read_end(thread("male", "M12x1.5", "none")))
    assert mating.verdict is ASK
    assert "first half" in mating.wanted


@pytest.mark.parametrize("half", ["", "male", "female"])
def test_unlike_threads_do_not_mate_whatever_else_is_unknown(half: str) -> None:
    assert joined(f"thread {half} M12x1.5".replace("  ", " "), "thread male M14x1.5").verdict is NO


@pytest.mark.parametrize("half", ["male", "female"])
def test_two_of_one_half_do_not_mate(half: str) -> None:
    seal = "spot face"
    mating = joined(thread(half, "M12x1.5", seal), thread(half, "M12x1.5", seal))
    assert mating.verdict is NO
    assert "same half" in told(mating)


def test_left_hand_thread_does_not_take_a_right_hand_one() -> None:
    mating = joined(thread("male", "M12x1.5 LH", "none"), thread("female", "M12x1.5", "none"))
    assert mating.verdict is NO
    assert "left-handed" in told(mating)


def test_thread_that_is_typical_is_not_a_plain_yes() -> None:
    male = thread("male", "M12x1.5, typical", "washer face")
    mating = joined(male, thread("female", "M12x1.5", "spot face"))
    assert mating.verdict is WARN


def test_unknown_thread_is_asked_for() -> None:
    male = thread("male", "unknown", "washer face")
    mating = mate(read_end(male), read_end(thread("female", "M12x1.5", "spot face")))
    assert mating.verdict is ASK
    assert mating.wanted == ("first thread",)


def test_flare_in_a_port_of_unknown_seal_cannot_be_told() -> None:
    nut = {"form": "flare", "half": "male", "thread": "M10x1", "seat": "bubble"}
    assert joined(nut, thread("female", "M10x1")).verdict is ASK
    assert joined(nut, thread("female", "M10x1", "cone")).verdict is ASK
    assert joined(nut, thread("female", "M10x1", "spot face")).verdict is NO


def test_light_and_heavy_cone_of_one_thread_are_told_apart() -> None:
    light = {"form": "flare", "half": "male", "thread": "M16x1.5", "seat": "24 degree light"}
    heavy = {"form": "flare", "half": "female", "thread": "M16x1.5", "seat": "24 degree heavy"}
    assert joined(light, heavy).verdict is NO


def test_unlike_tubes_under_one_nut_are_warned_of() -> None:
    nut = {"form": "flare", "half": "male", "thread": "M10x1", "seat": "bubble", "tube": "4.75 mm"}
    port = {**nut, "half": "female", "tube": "6 mm"}
    assert joined(nut, port).verdict is WARN
    assert joined(nut, {**port, "tube": "5 mm"}).verdict is YES


# --- other forms


def expanded(bore: str) -> dict[str, str]:
    return {"form": "exhaust tube", "half": "expanded", "bore": bore}


@pytest.mark.parametrize(
    ("bore", "verdict"),
    [("50.8 mm", YES), ("51.6 mm", YES), ("51.0 mm", YES), ("50.7 mm", WARN), ("52.1 mm", WARN),
     ("52.2 mm", NO), ("50.5 mm", NO), ("unknown", ASK)],
)  # fmt: skip
def test_exhaust_slip_joint(bore: str, verdict: Verdict) -> None:
    assert joined("exhaust tube plain 50.6 mm", expanded(bore)).verdict is verdict


def test_two_plain_pipes_of_one_size_need_a_sleeve() -> None:
    mating = joined("exhaust tube plain 50 mm", "exhaust tube plain 50 mm")
    assert mating.verdict is YES
    assert not mating.direct
    assert joined("exhaust tube plain 50 mm", "exhaust tube plain 45 mm").verdict is NO


FLANGE = {
    "form": "flange", "bolts": "3", "bolt": "M10", "bolt_circle": "80 mm", "seat": "ball",
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({}, YES), ({"bolts": "4"}, NO), ({"bolt": "M8"}, NO), ({"bolt_circle": "80.4 mm"}, YES),
        ({"bolt_circle": "80.9 mm"}, WARN), ({"bolt_circle": "81.5 mm"}, NO),
        ({"bolt_circle": "84 mm"}, NO), ({"seat": "cone"}, NO),
        ({"bolt_circle": "unknown"}, ASK), ({"seat": "unknown"}, ASK),
        ({"seat": "unknown", "bolts": "4"}, NO), ({"bolts": "unknown"}, ASK),
    ],
)  # fmt: skip
def test_flanges(change: dict[str, str], verdict: Verdict) -> None:
    assert joined(FLANGE, {**FLANGE, **change}).verdict is verdict


def test_passage_that_steps_at_a_flange_is_warned_of() -> None:
    for bore, verdict in (("45 mm", YES), ("48 mm", YES), ("50 mm", WARN), ("40 mm", WARN)):
        other = {**FLANGE, "bore": bore}
        assert joined({**FLANGE, "bore": "45 mm"}, other).verdict is verdict


def plug(half: str, **more: str) -> dict[str, str]:
    return {"form": "plug", "half": half, "ways": "4", "keying": "round", **more}


@pytest.mark.parametrize(
    ("a", "b", "verdict"),
    [
        (plug("pin"), plug("socket"), YES),
        (plug("pin"), plug("pin"), NO),
        (plug("pin"), plug("socket", ways="6"), NO),
        (plug("pin"), plug("socket", keying="flat"), NO),
        (plug("pin"), plug("socket", keying="unknown"), ASK),
        (plug("pin", width="2.8 mm"), plug("socket", width="1.5 mm"), NO),
        ("blade pin 6.3 mm", "blade socket 6.3 mm", YES),
        ("blade pin 6.3 mm", "blade socket 4.8 mm", NO),
        ("blade pin 6.3 mm", "blade socket", ASK),
        ("stud M8", "eyelet 8.4 mm", YES),
        ("stud M8", "eyelet 9.5 mm", WARN),
        ("stud M8", "eyelet 10.5 mm", NO),
        ("stud M8", "eyelet 6.6 mm", NO),
        # clearance holes of ISO 273, medium row, from memory
        ("stud M5", "eyelet 5.5 mm", YES),
        ("stud M10", "eyelet 11 mm", YES),
        ("stud M12", "eyelet 13.5 mm", YES),
        ("stud M5", "eyelet 6.2 mm", WARN),
        ("stud M10", "thread female M10", YES),
        ("thread female M8", "eyelet 8.4 mm", YES),
        ("wire end 2.5 mm2", "wire end 1.5 mm2", YES),
        ("wire end 6 mm2", "wire end 1.5 mm2", WARN),
        ("wire end 2.5 mm2", "crimp barrel 2.5 mm2", YES),
        ("wire end 1.5 mm2", "crimp barrel 2.5 mm2", YES),
        ("wire end 1 mm2", "crimp barrel 2.5 mm2", WARN),
        ("wire end 0.75 mm2", "crimp barrel 2.5 mm2", NO),
        ("wire end 4 mm2", "crimp barrel 2.5 mm2", NO),
        ("wire end 2.5 ± 1 mm2", "crimp barrel 2.5 mm2", ASK),
        ("crimp barrel 4 mm2", "crimp barrel 4 mm2", NO),
        ("duct spigot 70 mm", "duct sleeve 70 mm", YES),
        ("duct spigot 70 mm", "duct sleeve 76 mm", NO),
        ("duct sleeve 70 mm", "duct sleeve 70 mm", NO),
        ("hose end 16 mm", "hose end 16 mm", NO),
        ("hose end 8 mm", "quick connector tube end 7.89 mm", NO),
        ("rod end 8 mm", "lever 8 mm", YES),
        ("rod end 8 mm", "lever 10 mm", NO),
        ("open end", "barb 13 mm", NO),
        ("built in", "barb 13 mm", NO),
        ("hose bead 16 mm", "stud M8", NO),
        ("lever 8 mm", "panel hole 60 mm", WARN),
        ("panel hole 60 mm", "panel hole 60 mm", NO),
        ("panel hole 60 mm", "open end", NO),
    ],
)  # fmt: skip
def test_other_forms(a: object, b: object, verdict: Verdict) -> None:
    assert joined(a, b).verdict is verdict


def test_cable_nipple_needs_size_and_shape() -> None:
    nipple = {"form": "cable nipple", "diameter": "6 mm", "shape": "barrel"}
    seat = {"form": "cable seat", "diameter": "6.2 mm", "shape": "barrel"}
    assert joined(nipple, seat).verdict is YES
    assert joined(nipple, {**seat, "shape": "ball"}).verdict is NO
    assert joined(nipple, {**seat, "diameter": "6.8 mm"}).verdict is WARN
    assert joined(nipple, {**seat, "diameter": "5.5 mm"}).verdict is NO
    assert joined(nipple, {**seat, "diameter": "8 mm"}).verdict is NO
    assert joined(nipple, {**seat, "shape": "unknown"}).verdict is ASK


def test_spline_needs_teeth_and_diameter() -> None:
    shaft = {"form": "spline", "half": "shaft", "teeth": "21", "diameter": "25 mm"}
    hub = {**shaft, "half": "hub"}
    assert joined(shaft, hub).verdict is YES
    assert joined(shaft, {**hub, "teeth": "23"}).verdict is NO
    assert joined(shaft, {**hub, "diameter": "25.6 mm"}).verdict is NO
    assert joined(shaft, {**hub, "diameter": "unknown"}).verdict is ASK


def test_o_ring_fitting_needs_one_tube_and_one_thread() -> None:
    male = {"form": "o-ring fitting", "half": "male", "tube": "8 mm", "thread": "M16x1.5"}
    female = {**male, "half": "female"}
    assert joined(male, female).verdict is YES
    assert joined(male, {**female, "tube": "8.3 mm"}).verdict is NO
    assert joined(male, {**female, "thread": "M18x1.5"}).verdict is NO


def test_speedometer_needs_thread_and_square() -> None:
    cable = {"form": "speedometer end", "half": "cable", "thread": "M18x1.5", "square": "2.6 mm"}
    drive = {**cable, "half": "drive"}
    assert joined(cable, drive).verdict is YES
    assert joined(cable, {**drive, "square": "3.2 mm"}).verdict is NO
    assert joined(cable, {**drive, "square": "2.9 mm"}).verdict is NO
    assert joined(cable, {**drive, "thread": "M22x1.5"}).verdict is NO
    assert joined(cable, {**drive, "square": "unknown"}).verdict is ASK


def test_bell_faces_need_one_pattern() -> None:
    face = {"form": "bell face", "bolts": "8", "dowels": "2", "pattern": "old four"}
    assert joined(face, face).verdict is YES
    assert joined(face, {**face, "pattern": "new four"}).verdict is NO
    assert joined(face, {**face, "pattern": "unknown"}).verdict is ASK


def test_metals_are_warned_of_only_where_both_are_said() -> None:
    brass = {"form": "hose bead", "barrel": "16 mm", "material": "brass"}
    alloy = {"form": "hose bead", "barrel": "16 mm", "material": "aluminium"}
    mating = joined(brass, alloy)
    assert mating.verdict is WARN
    assert "eaten" in told(mating)
    assert joined(brass, "hose bead 16 mm").verdict is YES


# --- words


@pytest.mark.parametrize(
    ("a", "b", "gap"),
    [
        ("hose bead 16 mm", "hose bead 13 mm", "16 to 13 mm"),
        ("hose bead 1 1/2 in", "hose bead 36 mm", "1 1/2 in to 36 mm"),
        ("hose bead 36 ± 3 mm, typical", "barb 38 mm", "36 mm to 38 mm"),
        ("thread female M10x1", "thread male G 1/8", "female M10x1 to male G 1/8"),
        ("flange 3", "flange 4", "3 to 4 bolts"),
        ("stud M8", "eyelet 6.6 mm", "stud M8 to eyelet 6.6 mm"),
    ],
)
def test_gap_is_short(a: str, b: str, gap: str) -> None:
    message = joined(a, b).gap
    assert message is not None
    assert message.text("metric") == gap


def test_gap_without_a_size_is_empty() -> None:
    assert joined("hose bead", "hose bead 16 mm").gap is None


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("hose bead 36 mm", "hose bead 36 mm"),
        (thread("female", "M10x1", "spot face"), "female thread M10x1, spot face"),
        ("plug pin 4", "pin plug, 4 ways"),
        ("barb 8 mm, typical", "barb 8 mm (typical)"),
        ("unknown", "unknown end"),
    ],
)
def test_ends_are_described_in_words(raw: object, words: str) -> None:
    assert describe(read_end(raw), "metric") == words


def test_end_from_the_table_takes_the_inner_name_of_a_taper() -> None:
    inner = ends_from_fitting("R-1_8", "female").dim("thread").text
    assert inner.startswith("Rc 1/8")
    with pytest.raises(ValueError, match="no half 'bolt'"):
        ends_from_fitting("R-1_8", "bolt")
    with pytest.raises(KeyError):
        ends_from_fitting("no-such-row")


@pytest.mark.parametrize("text", ["36 mm", "Q 1/8"])
def test_what_is_no_thread_has_no_shape(text: str) -> None:
    with pytest.raises(ValueError, match="no thread"):
        thread_shape(text)


# --- the table itself


def test_mating_table_uses_words_that_exist() -> None:
    forms = end_forms()
    seals = set(forms["thread"].dims["seal"].choices) | set(forms["flare"].dims["seat"].choices)
    kinds = seals | {"", "R", "Rc", "Rp", "NPT", "NPTF", "NPSM", "NPSF", "keg", "no bead"}
    for row in mate_rows():
        assert row.law in LAWS
        assert Verdict(row.verdict)
        assert row.source
        for side in (row.a, row.b):
            if side.form == "*":
                continue
            assert side.form in forms
            assert side.half in ("", *forms[side.form].halves)
            assert side.kind in kinds
            assert not side.dim or side.dim in forms[side.form].dims
        assert row.why or Verdict(row.verdict) is YES


def test_no_two_rows_say_different_things_of_one_pair() -> None:
    said: dict[frozenset[tuple[str, ...]], str] = {}
    for row in mate_rows():
        sides = frozenset((s.form, s.half, s.kind) for s in (row.a, row.b))
        assert sides not in said, row
        said[sides] = row.verdict


def test_every_form_can_meet_something_or_is_said_to_meet_nothing() -> None:
    met = {side.form for row in mate_rows() for side in (row.a, row.b)}
    assert set(end_forms()) <= met


def test_threads_of_all_seals_agree_with_reason() -> None:
    """Each seal meets itself or is told why not; no pair of seals is left without words."""
    seals = end_forms()["thread"].dims["seal"].choices
    for a, b in product(seals, seals):
        mating = joined(thread("male", "M14x1.5", a), thread("female", "M14x1.5", b))
        assert mating.verdict is not ASK
        assert "{" not in told(mating)
        assert mating.verdict is not WARN or len(mating.why) > 1


def test_value_with_tool_keeps_its_accuracy() -> None:
    # a tape reads to about a millimetre, too coarse for a hose; calipers settle it
    dims = {"barrel": read_value("36 mm, tape", end_forms()["hose bead"].dims["barrel"])}
    fine = {"barrel": read_value("36 mm, calipers", end_forms()["hose bead"].dims["barrel"])}
    hose = read_end("hose end 36 mm")
    assert mate(End("hose bead", dims=dims), hose).verdict is ASK
    assert mate(End("hose bead", dims=fine), hose).verdict is YES
