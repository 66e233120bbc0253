"""Fittings, mating and look-alikes against the outside.

The source stands beside each check. Where it is "from memory" no document was opened.
"""

from math import atan, degrees

import pytest

from swapwright.crossings.comparing import look_alike, unlike_threads
from swapwright.crossings.fittings import ends_from_fitting, thread_shape
from swapwright.crossings.mating import Verdict, mate
from swapwright.library.tables import Fitting, fittings, lookalikes
from swapwright.model.amount import Amount
from swapwright.model.ends import read_end

MM = 1e-3


def rows(prefix: str) -> list[Fitting]:
    return [row for row in fittings().values() if row.id.startswith(prefix)]


def row_of_thread(prefix: str, thread: str) -> Fitting:
    return next(row for row in rows(prefix) if row.thread == thread)


# --- sizes

# ISO 228-1, as in the thread tables of a CAD part library (bd_warehouse 0.4.0);
# turns per inch of eight sizes also in the International Thread Chart Identification Guide.
PARALLEL_PIPE = [
    ("1/8", 9.728, 28), ("1/4", 13.157, 19), ("3/8", 16.662, 19), ("1/2", 20.955, 14),
    ("5/8", 22.911, 14), ("3/4", 26.441, 14), ("7/8", 30.201, 14), ("1", 33.249, 11),
    ("1 1/8", 37.897, 11), ("1 1/4", 41.910, 11),
]  # fmt: skip


@pytest.mark.parametrize(("size", "major", "turns"), PARALLEL_PIPE)
def test_parallel_pipe_threads(size: str, major: float, turns: int) -> None:
    row = row_of_thread("G-", f"G {size}")
    assert row.major == pytest.approx(major * MM, abs=1e-9)
    assert row.turns_per_inch == turns
    assert thread_shape(row.thread).pitch == pytest.approx(25.4 / turns * MM, rel=1e-12)


# ISO 228-1: pitch diameter d2 = d - 0.640327 P (Whitworth form), same tables; 4 decimals of mm.
@pytest.mark.parametrize(
    ("size", "pitch_diameter"), [("1/8", 9.147), ("1/2", 19.793), ("1", 31.770)]
)
def test_whitworth_pitch_diameter(size: str, pitch_diameter: float) -> None:
    shape = thread_shape(f"G {size}")
    reckoned = shape.major - 0.640327 * shape.pitch
    assert reckoned == pytest.approx(pitch_diameter * MM, abs=0.0015 * MM)


# ASME B1.20.1, table "National Pipe Tapered Thread (NPT), taper 1:16" and dimension table
# "Pipe Threads: ASME B1.20.1": pipe outside, turns per inch; pitch diameter at the hand-tight
# plane and hand-tight length where the dimension table was read.
TAPER_PIPE = [
    ("1/8", 10.287, 27, 9.489), ("1/4", 13.716, 18, 12.487), ("3/8", 17.145, 18, None),
    ("1/2", 21.336, 14, 19.772), ("3/4", 26.670, 14, None), ("1", 33.401, 11.5, 31.461),
    ("1 1/4", 42.164, 11.5, None),
]  # fmt: skip


@pytest.mark.parametrize(("size", "outside", "turns", "gauge"), TAPER_PIPE)
def test_taper_pipe_threads(size: str, outside: float, turns: float, gauge: float | None) -> None:
    row = row_of_thread("NPT-", f"{size}-{turns:g} NPT")
    assert row.major == pytest.approx(outside * MM, abs=0.001 * MM)
    assert thread_shape(row.thread).major == pytest.approx(outside * MM, abs=0.001 * MM)
    assert row.turns_per_inch == turns
    if gauge:
        assert row.gauge_pitch_diameter == pytest.approx(gauge * MM, abs=0.001 * MM)


# ASME B1.20.1, 1.7 (from memory): E0 = D - (0.05 D + 1.1) p, E1 = E0 + 0.0625 L1, in inches.
@pytest.mark.parametrize("row", rows("NPT-"), ids=lambda row: row.id)
def test_hand_tight_plane_follows_from_the_formula(row: Fitting) -> None:
    assert row.major and row.hand_tight and row.gauge_pitch_diameter and row.turns_per_inch
    pitch = 0.0254 / row.turns_per_inch
    start = row.major - (0.05 * row.major / 0.0254 + 1.1) * pitch
    reckoned = start + row.hand_tight / 16
    assert reckoned == pytest.approx(row.gauge_pitch_diameter, abs=0.002 * MM)


# Hydraulic Fitting Thread Chart and Size Reference: 1 deg 47 min half angle; reckoned.
def test_taper_of_one_in_sixteen() -> None:
    assert degrees(atan(1 / 32)) == pytest.approx(1 + 47 / 60, abs=0.01)
    assert all("1:16" in row.seal for row in (*rows("NPT-"), *rows("R-"), *rows("MK-")))


# Metric thread O-ring port fitting size chart (ISO 6149).
def test_metric_ports_with_chamfered_o_ring() -> None:
    assert [row.thread for row in rows("P6149-")] == [
        "M8x1", "M10x1", "M12x1.5", "M14x1.5", "M16x1.5", "M18x1.5", "M22x1.5", "M27x2",
        "M33x2", "M42x2",
    ]  # fmt: skip


# Hydraulic Fitting Thread Chart and Size Reference: SAE J514, thread by dash; tube = dash/16 in.
FLARE_37 = [
    (4, "7/16-20"), (6, "9/16-18"), (8, "3/4-16"), (10, "7/8-14"), (12, "1 1/16-12"),
    (16, "1 5/16-12"),
]  # fmt: skip


@pytest.mark.parametrize(("dash", "thread"), FLARE_37)
def test_flare_of_37_degrees_by_dash(dash: int, thread: str) -> None:
    row = fittings()[f"J514-{dash}"]
    assert row.thread == thread
    assert row.across == pytest.approx(dash * 25.4 / 16 * MM, abs=0.0005 * MM)
    assert not row.from_memory


# Instrumentation forum, "Society of Automotive Engineers Thread (SAE)", and a flare thread
# chart in a training article: six dash sizes share their thread, two do not.
def test_which_dash_sizes_share_a_thread_between_37_and_45_degrees() -> None:
    by_tube = {row.across: row.thread for row in rows("F45-")}
    shared = {
        dash: by_tube[fittings()[f"J514-{dash}"].across] == fittings()[f"J514-{dash}"].thread
        for dash in (2, 3, 4, 5, 6, 8, 10, 12)
    }
    assert [dash for dash, same in shared.items() if same] == [2, 3, 4, 5, 8, 10]
    assert (fittings()["J514-6"].thread, fittings()["F45-3_8"].thread) == ("9/16-18", "5/8-18")
    assert fittings()["F45-3_4"].thread == "1 1/16-14"


# Flare thread chart in a training article on flare fittings: turns per inch by diameter.
DIAMETERS = ("5/16", "3/8", "7/16", "1/2", "5/8", "11/16", "3/4", "7/8", "1 1/16")


@pytest.mark.parametrize(
    ("prefix", "turns"),
    [
        ("F45-", (24, 24, 20, 20, 18, 16, 16, 14, 14)),
        ("INV-", (28, 24, 24, 20, 18, 18, 18, 18, 16)),
    ],
)
def test_turns_of_flare_threads(prefix: str, turns: tuple[int, ...]) -> None:
    listed = {row.thread for row in rows(prefix)}
    assert {f"{d}-{t}" for d, t in zip(DIAMETERS, turns, strict=True)} <= listed


# "What size is brake line fittings" and the flare thread chart.
@pytest.mark.parametrize(("size", "thread"), [("3_16", "3/8-24"), ("1_4", "7/16-24")])
def test_inverted_flare_nuts(size: str, thread: str) -> None:
    assert fittings()[f"INV-{size}"].thread == thread


# Instrumentation forum, "Society of Automotive Engineers Thread (SAE)".
def test_inverted_flare_sits_on_42_degrees() -> None:
    assert all("45 degree" in row.seal and "42 degree" in row.seal for row in rows("INV-"))


# SAE J1926/1 port dimensions.
@pytest.mark.parametrize(
    ("dash", "thread"), [(2, "5/16-24"), (3, "3/8-24"), (4, "7/16-20"), (5, "1/2-20")]
)
def test_o_ring_ports_by_dash(dash: int, thread: str) -> None:
    row = fittings()[f"ORB-{dash}"]
    assert row.thread == thread
    assert f"-90{dash} " in row.seal


# Hydraulic Fitting Thread Chart and Size Reference: SAE J1453.
def test_face_seals_by_dash() -> None:
    assert {row.size.removeprefix("dash "): row.thread for row in rows("ORFS-")} == {
        "4": "9/16-18", "6": "11/16-16", "8": "13/16-16", "10": "1-14", "12": "1 3/16-12",
        "16": "1 7/16-12",
    }  # fmt: skip


# DIN 3902 standard size table: tube, nut thread, light and heavy series.
LIGHT = {6: "M12x1.5", 8: "M14x1.5", 10: "M16x1.5", 12: "M18x1.5", 15: "M22x1.5", 18: "M26x1.5",
         22: "M30x2", 28: "M36x2", 35: "M45x2", 42: "M52x2"}  # fmt: skip
HEAVY = {6: "M14x1.5", 8: "M16x1.5", 10: "M18x1.5", 12: "M20x1.5", 14: "M22x1.5", 16: "M24x1.5",
         20: "M30x2", 25: "M36x2", 30: "M42x2", 38: "M52x2"}  # fmt: skip


@pytest.mark.parametrize(("letter", "table"), [("L", LIGHT), ("S", HEAVY)])
def test_cone_of_24_degrees_by_tube(letter: str, table: dict[int, str]) -> None:
    listed = {row.size: row.thread for row in rows("C24-") if row.size.endswith(f" {letter}")}
    assert listed == {f"tube {tube} mm {letter}": thread for tube, thread in table.items()}


# Fastener tables of a CAD part library (bd_warehouse 0.4.0): unified fine threads it lists, and
# five of inverted flare nuts that it does not.
USUAL = {"5/16-24", "3/8-24", "7/16-20", "1/2-20", "9/16-18", "5/8-18", "3/4-16", "7/8-14"}
SPECIAL = {"5/16-28", "7/16-24", "11/16-18", "3/4-18", "7/8-18"}


def test_fine_threads_that_fasteners_share_and_those_of_inverted_flares_alone() -> None:
    everywhere = {row.thread for row in fittings().values() if not row.id.startswith("INV-")}
    assert everywhere >= USUAL
    assert {row.thread for row in rows("INV-")} >= SPECIAL
    assert not SPECIAL & (everywhere - {row.thread for row in rows("BJA-")})


# Same tables: metric fine pitches listed; the five others are from memory.
@pytest.mark.parametrize(
    "thread",
    ["M8x1", "M10x1", "M10x1.25", "M12x1.5", "M14x1.5", "M16x1.5", "M18x1.5", "M20x1.5"],
)
def test_metric_fine_pitches(thread: str) -> None:
    found = [row for row in fittings().values() if row.thread == thread]
    assert found
    size, pitch = thread[1:].split("x")
    assert all(row.major == pytest.approx(float(size) * MM) for row in found)
    assert all(row.pitch == pytest.approx(float(pitch) * MM) for row in found)


# The package reads a designation by itself; table and reading have to agree in every row.
@pytest.mark.parametrize(
    "row", [row for row in fittings().values() if row.thread], ids=lambda row: row.id
)
def test_table_and_designation_agree(row: Fitting) -> None:
    shape = thread_shape(row.thread)
    assert shape.designation == row.thread
    assert row.major == pytest.approx(shape.major, abs=0.0006 * MM)
    assert row.pitch == pytest.approx(shape.pitch, abs=0.00006 * MM)


# --- what mates and how it seals: (male, female, verdict, word of the seal or reason, source)


def thread(half: str, name: str, seal: str = "") -> dict[str, str]:
    return {"form": "thread", "half": half, "thread": name} | ({"seal": seal} if seal else {})


def flare(half: str, name: str, seat: str) -> dict[str, str]:
    return {"form": "flare", "half": half, "thread": name, "seat": seat}


YES, NO, WARN = Verdict.MATES, Verdict.NOT, Verdict.WARNING
TABLE = [
    # from memory (ISO 228-1)
    (thread("male", "G 1/4", "washer face"), thread("female", "G 1/4", "spot face"), YES, "washer"),
    (thread("male", "G 1/4", "cone"), thread("female", "G 1/4", "cone"), YES, "cone"),
    # from memory (ISO 7-1)
    (thread("male", "R 1/8"), thread("female", "Rp 1/8"), YES, "sealant"),
    (thread("male", "R 1/8"), thread("female", "Rc 1/8"), YES, "sealant"),
    # from memory
    (thread("male", "R 1/8"), thread("female", "G 1/8", "spot face"), NO, "no standard seal"),
    (thread("male", "R 1/8"), thread("female", "G 1/8"), NO, "no standard seal"),
    # ASME B1.20.1, 3.1
    (thread("male", "1/8 NPT"), thread("female", "1/8 NPT"), YES, "sealant"),
    # Fittings guidelines: fitting identification
    (thread("male", "1/8 NPTF"), thread("female", "1/8 NPTF"), YES, "crushed"),
    (thread("male", "1/8 NPTF"), thread("female", "1/8 NPSF"), YES, "crushed"),
    (thread("male", "1/8 NPTF"), thread("female", "1/8 NPSM"), YES, "30 degree seat"),
    # American connections: NPTF, NPSM, SAE J514, SAE J512
    (thread("male", "1/8 NPTF"), thread("female", "1/8 NPT"), WARN, "only with sealant"),
    # International Thread Chart Identification Guide; fitting identification guidelines
    (thread("male", "1/8 NPT"), thread("female", "Rc 1/8"), NO, "flank angles 55 and 60"),
    (thread("male", "1/4 NPTF"), thread("female", "Rp 1/4"), NO, "flank angles 55 and 60"),
    (thread("male", "R 1/2"), thread("female", "1/2 NPT"), NO, "flank angles 55 and 60"),
    # instrumentation forum, "Society of Automotive Engineers Thread (SAE)"
    (flare("male", "7/16-20", "37 degree"), flare("female", "7/16-20", "37 degree"), YES, "cone"),
    (flare("male", "7/16-20", "37 degree"), flare("female", "7/16-20", "45 degree"), NO, "leaks"),
    (thread("male", "7/16-20", "o-ring in chamfer"),
     thread("female", "7/16-20", "o-ring in chamfer"), YES, "O-ring"),
    (flare("male", "3/8-24", "inverted"), flare("female", "3/8-24", "inverted"), YES, "42"),
    # from memory (same thread: SAE J514, SAE J1926-1)
    (flare("male", "7/16-20", "37 degree"),
     thread("female", "7/16-20", "o-ring in chamfer"), NO, "does not seal"),
    # from memory
    (thread("male", "M14x1.5", "o-ring in chamfer"),
     thread("female", "M14x1.5", "spot face"), NO, "does not seal"),
    # Thread type: M conical, DIN 158-1
    (thread("male", "M10x1 keg"), thread("female", "M10x1"), YES, "taper"),
    # Brake line flares: metric and SAE, inverted and bubble
    (flare("male", "M10x1", "inverted 37 degree"),
     flare("female", "M10x1", "inverted"), NO, "seat angle"),
    # from memory
    (flare("male", "M10x1", "bubble"), flare("female", "M10x1", "inverted"), NO, "bubble"),
    # from memory
    ("banjo bolt M10x1", thread("female", "M10x1", "spot face"), YES, "two flat washers"),
    ("quick connector tube end 7.89 mm", "quick connector coupling 7.89 mm", YES, "O-rings"),
    ("quick connector tube end 7.89 mm", "quick connector coupling 9.49 mm", NO, "differ"),
    ("hose bead 36 mm", "hose end 36 mm", YES, "clamp behind the bead"),
]  # fmt: skip


@pytest.mark.parametrize(("male", "female", "verdict", "word"), TABLE)
def test_what_mates_and_how_it_seals(
    male: object, female: object, verdict: Verdict, word: str
) -> None:
    for ends in ((male, female), (female, male)):
        mating = mate(*(read_end(end) for end in ends))
        told = " ".join((mating.through, *(why.text("metric") for why in mating.why)))
        assert mating.verdict is verdict, told
        assert word in told


# A flare thread chart: 45 degree and inverted flares share three threads.
@pytest.mark.parametrize("name", ["3/8-24", "1/2-20", "5/8-18"])
def test_same_thread_of_45_degree_and_inverted_flare_has_another_seat(name: str) -> None:
    ends = (flare("male", name, "inverted"), flare("female", name, "45 degree"))
    assert {name} <= {row.thread for row in rows("F45-")} & {row.thread for row in rows("INV-")}
    mating = mate(*(read_end(end) for end in ends))
    assert mating.verdict is Verdict.NOT
    assert mating.why[0].text("metric") == f"same thread: {name}"


# --- look-alikes: b minus a, mm; reckoned from ISO 228-1, ASME B1.20.1 and B1.1 sizes

ALIKE = [
    ("LK-01", "M10x1", "G 1/8", -0.272, -0.0929, -0.464),
    ("LK-02", "M10x1", "1/8 NPT", 0.287, -0.0593, -0.296),
    ("LK-03", "G 1/8", "1/8 NPT", 0.559, 0.0336, 0.168),
    ("LK-04", "M10x1", "3/8-24", -0.475, 0.0583, 0.292),
    ("LK-05", "G 1/4", "1/4 NPT", 0.559, 0.0743, 0.371),
    ("LK-06", "M14x1.5", "1/4 NPT", -0.284, -0.0889, -0.444),
    ("LK-07", "M14x1.5", "9/16-18", 0.288, -0.0889, -0.444),
    ("LK-08", "M16x1.5", "5/8-18", -0.125, -0.0889, -0.444),
    ("LK-09", "G 3/8", "3/8 NPT", 0.483, 0.0743, 0.371),
    ("LK-10", "G 1/2", "1/2 NPT", 0.381, 0.0, 0.0),
    ("LK-11", "G 3/4", "3/4 NPT", 0.229, 0.0, 0.0),
    ("LK-12", "M22x1.5", "7/8-14", 0.225, 0.3143, 1.571),
    ("LK-13", "M27x2", "1 1/16-12", -0.013, 0.1167, 0.583),
    ("LK-14", "7/16-20", "7/16-24", 0.0, -0.2117, -1.058),
    ("LK-15", "3/4-16", "3/4-18", 0.0, -0.1764, -0.882),
]


@pytest.mark.parametrize(("id", "a", "b", "major", "pitch", "five"), ALIKE)
def test_look_alikes(id: str, a: str, b: str, major: float, pitch: float, five: float) -> None:
    first, second = thread_shape(a), thread_shape(b)
    assert second.major - first.major == pytest.approx(major * MM, abs=0.0006 * MM)
    assert second.pitch - first.pitch == pytest.approx(pitch * MM, abs=0.00006 * MM)
    row = look_alike(first, second)
    assert row is not None
    assert row.id == id
    assert row == look_alike(second, first)
    assert (row.major, row.pitch, row.five_turns) == pytest.approx(
        (major * MM, pitch * MM, five * MM)
    )
    ends = (read_end(thread("male", a)), read_end(thread("female", b)))
    mating = mate(*ends)
    assert mating.verdict is Verdict.NOT
    assert "look alike" in mating.why[0].text("metric")
    told = mating.why[0].values
    for name, wanted in (("major", major), ("five", five)):
        amount = told[name]
        assert isinstance(amount, Amount)
        assert amount.nominal == pytest.approx(abs(wanted) * MM, abs=0.0006 * MM)
    assert mating.gap is not None
    assert mating.gap.text("metric") == f"male {a} to female {b}"


def test_every_look_alike_row_is_checked_above() -> None:
    assert [row.id for row in lookalikes()] == [id for id, *_ in ALIKE]


# Reckoned: every pair of table threads closer than 0.6 mm in diameter and over five turns.
def test_close_pairs_of_the_table_are_called_look_alikes() -> None:
    shapes = {thread_shape(row.thread).key: thread_shape(row.thread)
              for row in fittings().values() if row.thread}  # fmt: skip
    listed = [shapes[key] for key in sorted(shapes)]
    close = told = 0
    for i, a in enumerate(listed):
        for b in listed[i + 1 :]:
            near = abs(a.major - b.major) < 0.6 * MM and 5 * abs(a.pitch - b.pitch) < 0.6 * MM
            says = "look alike" in unlike_threads(a, b).text("metric")
            close += near
            told += says
            assert says >= near, (a.designation, b.designation)
    assert close > 15
    assert told - close <= 5  # those the table names beyond the limit


# --- sizes of stud and eyelet, ISO 273 medium series (from memory): M5 5.5, M6 6.6, M8 9, M10 11
@pytest.mark.parametrize("size", [5, 6, 8, 10])
def test_eyelet_goes_over_its_stud_and_no_other(size: int) -> None:
    for other in (5, 6, 8, 10):
        mating = mate(ends_from_fitting(f"STUD-M{other}"), ends_from_fitting(f"EYE-M{size}"))
        if other == size:
            assert mating.verdict is Verdict.MATES
        else:
            assert mating.verdict in (Verdict.NOT, Verdict.WARNING)
