"""Identification against plain enumeration, written anew here, and against hand computation.

Thread sizes: ISO 228-1 (G 1/8: 9.728 mm, 28 turns to the inch) and ASME B1.20.1 (1/8 NPT: pipe
10.287 mm, 27 turns to the inch); M10x1 by its name.
"""

from importlib.resources import files
from itertools import pairwise, permutations, product
from math import erf, exp, isclose, log, pi, prod, sqrt
from typing import Any

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from swapwright.crossings.evidence import read_seen
from swapwright.crossings.identify import Identification, identify, identify_together
from swapwright.library.likelihoods import Table, likelihood_kinds, likelihoods
from swapwright.library.tables import fittings
from swapwright.model.values import ValueFault
from swapwright.model.words import Service

Seen = dict[str, str]
STUBS = ("hot", "ret", "hsup", "hret")


def raw(kind: str) -> Any:
    path = files("swapwright.library").joinpath("likelihoods", f"{kind}.yaml")
    return yaml.safe_load(path.read_text("utf-8"))


def chances(found: Identification) -> dict[str, float]:
    return {candidate.id: candidate.chance for candidate in found.candidates}


# -- plain enumeration, from the file and nothing else ------------------------------------------


def cell(tree: Any, observation: str, word: str, role: str) -> float:
    """Share of a word: as printed, or its part of what is left; floored; the column made one."""
    held = tree["observations"][observation]
    words = [str(w) for w in held.get("words", held["cells"])]
    cells = {
        str(w): {r: float(p) for r, p in row.items()} for w, row in held["cells"].items() if row
    }
    stated = [cells[w][role] for w in words if role in cells.get(w, {})]
    rest = (1 - sum(stated)) / (len(words) - len(stated)) if len(stated) < len(words) else 0
    column = {w: max(cells.get(w, {}).get(role, rest), tree["floor"]) for w in words}
    return float(column[word] / sum(column.values()))


def posterior(tree: Any, seen: Seen) -> dict[str, float]:
    roles = tree["candidates"]
    weights = {
        role: roles[role].get("prior", 1 / len(roles))
        * prod(cell(tree, name, word, role) for name, word in seen.items())
        for role in roles
    }
    return {role: weight / sum(weights.values()) for role, weight in weights.items()}


def dealt(tree: Any, ends: list[Seen]) -> list[dict[str, float]]:
    weights: dict[tuple[str, ...], float] = {}
    for deal in permutations(STUBS, len(ends)):
        weights[deal] = prod(
            cell(tree, name, word, role)
            for role, seen in zip(deal, ends, strict=True)
            for name, word in seen.items()
        )
    whole = sum(weights.values())
    return [
        {role: sum(w for d, w in weights.items() if d[i] == role) / whole for role in STUBS}
        for i in range(len(ends))
    ]


SIZES = {"under 26 mm": "16 mm", "26 mm up": "36 mm"}


def as_written(seen: Seen) -> Seen:
    return {name: SIZES.get(word, word) for name, word in seen.items()}


def stub_words() -> dict[str, list[str]]:
    tree = raw("coolant-stubs")["observations"]
    return {name: [str(w) for w in held.get("words", held["cells"])] for name, held in tree.items()}


stub_sights = st.fixed_dictionaries(
    {}, optional={name: st.sampled_from(words) for name, words in stub_words().items()}
)


@given(stub_sights)
def test_one_stub_agrees_with_plain_enumeration(seen: Seen) -> None:
    found = chances(identify("coolant-stubs", as_written(seen)))
    wanted = posterior(raw("coolant-stubs"), seen)
    assert found == pytest.approx(wanted, abs=1e-12, rel=1e-12)


@given(st.lists(stub_sights, min_size=1, max_size=4))
def test_stubs_dealt_out_agree_with_plain_enumeration(ends: list[Seen]) -> None:
    found = identify_together("coolant-stubs", [as_written(seen) for seen in ends])
    for one, wanted in zip(found, dealt(raw("coolant-stubs"), ends), strict=True):
        assert chances(one) == pytest.approx(wanted, abs=1e-12, rel=1e-12)


def test_small_tube_agrees_with_plain_enumeration() -> None:
    tree = raw("small-tube")
    names = {name: list(held["cells"]) for name, held in tree["observations"].items()}
    sizes = {"under 5 mm": "4 mm", "5 to 7 mm": "6 mm", "7 to 13 mm": "8 mm"}
    for words in product(*names.values()):
        seen = dict(zip(names, words, strict=True))
        written = seen | {"bore": sizes[seen["bore"]]}
        found = chances(identify("small-tube", written))
        assert found == pytest.approx(posterior(tree, seen), abs=1e-12, rel=1e-12)


def bell(x: float, mean: float, deviation: float) -> float:
    return exp(-(((x - mean) / deviation) ** 2) / 2) / (deviation * sqrt(2 * pi))


def normal_below(z: float) -> float:
    return (1 + erf(z / sqrt(2))) / 2


def ohm_density(tree: Any, role: str, ohms: float | str) -> float:
    """Density over ln(ohm), or the share of open: the mixture that the file describes."""
    held = tree["observations"]["ohm"]
    shapes = held["cells"][role]
    stray = held["stray"] if shapes else 1.0
    if isinstance(ohms, str):
        typical = sum("word" in s for s in shapes) / len(shapes) if shapes else 0
        return float((1 - stray) * typical + stray * held["stray_words"])
    x, soft = log(ohms), log(held["soft"])
    total = 0.0
    for shape in shapes:
        if "median" in shape:
            total += bell(x, log(value(shape["median"])), log(shape["factor"]))
        elif "from" in shape:
            low, high = log(value(shape["from"])), log(value(shape["to"]))
            inside = normal_below((high - x) / soft) - normal_below((low - x) / soft)
            total += inside / (high - low)
    flat = (1 - held["stray_words"]) / (log(10e6) - log(0.1))
    return float(stray * flat + ((1 - stray) * total / len(shapes) if shapes else 0))


def value(text: str) -> float:
    number, unit = text.split()
    return float(number) * {"ohm": 1, "kohm": 1e3, "Mohm": 1e6}[unit]


@pytest.mark.parametrize("pins, word", [("1", "1"), ("2", "2"), ("3", "3"), ("6", "4 or more")])
@pytest.mark.parametrize("ohms", [0.4, 2.5, 14.0, 350.0, 2502.0, 5e6, "open"])
def test_sensor_plug_agrees_with_plain_enumeration(pins: str, word: str, ohms: float | str) -> None:
    tree = raw("sensor-plug")
    written = {"pins": pins, "ohm": ohms if isinstance(ohms, str) else f"{ohms:.1f} ohm"}
    weights = {
        role: cell(tree, "pins", word, role) * ohm_density(tree, role, ohms)
        for role in tree["candidates"]
    }
    wanted = {role: weight / sum(weights.values()) for role, weight in weights.items()}
    found = chances(identify("sensor-plug", written))
    assert found == pytest.approx(wanted, abs=1e-12, rel=1e-12)


@pytest.mark.parametrize("ohms, percent", [(950, 10), (2500, 40), (14, 20), (1200, 5)])
def test_stated_spread_of_a_resistance_widens_every_density(ohms: float, percent: float) -> None:
    # A normal reading on a normal, or on a soft edge: variances add (JCGM 100:2008, 5.1.2), on the
    # logarithm the relative spread counts, and the stated bound is rectangular (4.3.7).
    tree = raw("sensor-plug")
    relative = percent / 100 / sqrt(3)
    flat = 0.5 / (log(10e6) - log(0.1))

    def density(role: str) -> float:
        shapes = tree["observations"]["ohm"]["cells"][role]
        total = 0.0
        for shape in shapes:
            if "median" in shape:
                wide = sqrt(log(shape["factor"]) ** 2 + relative**2)
                total += bell(log(ohms), log(value(shape["median"])), wide)
            elif "from" in shape:
                low, high = log(value(shape["from"])), log(value(shape["to"]))
                soft = sqrt(log(1.15) ** 2 + relative**2)
                above = normal_below((log(ohms) - low) / soft)
                total += (above - normal_below((log(ohms) - high) / soft)) / (high - low)
        return 0.05 * flat + 0.95 * total / len(shapes) if shapes else flat

    weights = {role: density(role) for role in tree["candidates"]}
    wanted = {role: weight / sum(weights.values()) for role, weight in weights.items()}
    found = chances(identify("sensor-plug", {"ohm": f"{ohms} ohm ± {percent} %"}))
    assert found == pytest.approx(wanted, abs=1e-9)


# -- what must hold anyway ------------------------------------------------------------------------


@pytest.mark.parametrize("kind", likelihood_kinds())
def test_nothing_seen_gives_the_prior(kind: str) -> None:
    found = identify(kind, {})
    priors = {role.id: role.prior for role in likelihoods(kind).roles}
    assert chances(found) == pytest.approx(priors, abs=1e-12)
    assert not found.contradictory and not found.odd
    assert found.most_telling


@pytest.mark.parametrize("place", ["oil switch", "temperature", "filter", "pipe nut"])
def test_place_alone_gives_its_prior(place: str) -> None:
    found = chances(identify("thread", {}, place=place))
    stated = raw("thread")["places"][place]
    assert sum(found.values()) == pytest.approx(1)
    assert {name: found[name] for name in stated} == pytest.approx(stated, abs=1e-12)


def test_order_of_observations_does_not_matter() -> None:
    seen = {"bore": "36 mm", "from": "pump, its inlet", "height": "under", "warms": "last"}
    backwards = dict(reversed(seen.items()))
    assert identify("coolant-stubs", seen) == identify("coolant-stubs", backwards)


def test_order_of_ends_does_not_matter() -> None:
    ends = [{"bore": "36 mm"}, {"bore": "16 mm", "warms": "first"}, {"from": "thermostat cover"}]
    straight = identify_together("coolant-stubs", ends)
    turned = identify_together("coolant-stubs", ends[::-1])
    for one, other in zip(straight, turned[::-1], strict=True):
        assert chances(one) == pytest.approx(chances(other), abs=1e-12)


def test_each_role_is_dealt_once() -> None:
    ends = [{"bore": "36 mm"}, {"bore": "36 mm"}, {"bore": "16 mm"}, {"warms": "first"}]
    found = [chances(one) for one in identify_together("coolant-stubs", ends)]
    for role in STUBS:
        assert sum(one[role] for one in found) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("kind", likelihood_kinds())
def test_shares_of_each_column_sum_to_one(kind: str) -> None:
    for observation in likelihoods(kind).observations.values():
        if isinstance(observation, Table):
            for column in zip(*observation.shares, strict=True):
                assert sum(column) == pytest.approx(1, abs=1e-12)


def test_likeliest_comes_first_and_says_what_it_means() -> None:
    found = identify("coolant-stubs", {"bore": "36 mm", "from": "thermostat cover"})
    assert [c.chance for c in found.candidates] == sorted(chances(found).values(), reverse=True)
    best = found.candidates[0]
    assert (best.id, best.means.service, best.means.families) == ("hot", Service.COOLANT, ("hot",))


def test_uncertain_measure_weighs_both_classes() -> None:
    # 26 ± 2 mm (a bound, so 2/√3 standard) lies half on either side of the 26 mm edge:
    # P = ½ 0.98 + ½ 0.02 = 0.5 for radiator hot, and so for all roles: nothing is learnt.
    found = chances(identify("coolant-stubs", {"bore": "26 ± 2 mm"}))
    assert found == pytest.approx(dict.fromkeys(STUBS, 0.25), abs=1e-9)


def test_spread_of_a_bore_is_shared_among_its_classes() -> None:
    # 6 ± 2·√3 mm stated is 2 mm standard: of the normal curve between 0 and 13.5 mm a share of
    # Φ(-0.5) - Φ(-3) lies under 5 mm, Φ(0.5) - Φ(-0.5) up to 7 mm, the rest above.
    tree = raw("small-tube")
    marks = [normal_below((edge - 6) / 2) for edge in (0, 5, 7, 13.5)]
    masses = [high - low for low, high in pairwise(marks)]
    words = ("under 5 mm", "5 to 7 mm", "7 to 13 mm")
    weights = {
        role: sum(m * cell(tree, "bore", w, role) for m, w in zip(masses, words, strict=True))
        for role in tree["candidates"]
    }
    wanted = {role: weight / sum(weights.values()) for role, weight in weights.items()}
    found = chances(identify("small-tube", {"bore": f"6 ± {2 * sqrt(3):.9f} mm"}))
    assert found == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("beyond, same", [("20 Mohm", "open"), ("0.01 ohm", "0.1 ohm")])
def test_what_a_meter_cannot_show_counts_as_its_end(beyond: str, same: str) -> None:
    assert identify("sensor-plug", {"ohm": beyond}) == identify("sensor-plug", {"ohm": same})


# -- contradictions -------------------------------------------------------------------------------


def test_small_stub_with_spring_that_warms_last_contradicts_itself() -> None:
    # Heater stubs have a spring once in 100 and warm last 2 to 5 times in 100;
    # radiator stubs are this small 2 to 3 times in 100.
    seen = {"bore": "13 mm", "spring": "yes", "warms": "last", "points": "bulkhead"}
    found = identify("coolant-stubs", seen)
    assert found.contradictory
    assert found.odd


@pytest.mark.parametrize("role", STUBS)
def test_what_a_role_mostly_shows_is_no_contradiction(role: str) -> None:
    tree = raw("coolant-stubs")
    seen = {
        name: max(words, key=lambda word: cell(tree, name, word, role))
        for name, words in stub_words().items()
    }
    found = identify("coolant-stubs", as_written(seen))
    assert found.candidates[0].id == role
    assert not found.contradictory and not found.odd


def test_contradiction_agrees_with_plain_enumeration() -> None:
    tree = raw("coolant-stubs")
    names = ("bore", "spring", "warms", "points")
    words = {name: stub_words()[name] for name in names}

    def tail(name: str, word: str, role: str) -> float:
        column = [cell(tree, name, w, role) for w in words[name]]
        return sum(share for share in column if share <= cell(tree, name, word, role) + 1e-12)

    told: dict[bool, int] = {}
    for choice in product(*words.values()):
        seen = dict(zip(names, choice, strict=True))
        found = identify("coolant-stubs", as_written(seen))
        best = found.candidates[0].id
        here = sum(-log(tail(name, word, best)) for name, word in seen.items())
        often = sum(
            prod(cell(tree, n, w, best) for n, w in zip(names, other, strict=True))
            for other in product(*words.values())
            if sum(-log(tail(n, w, best)) for n, w in zip(names, other, strict=True)) >= here - 1e-9
        )
        told[found.contradictory] = told.get(found.contradictory, 0) + 1
        assert found.contradictory == (often < 0.01), seen
    assert set(told) == {True, False}


def test_rarer_word_counts_in_the_tail_of_a_number() -> None:
    # A sensor of the control unit shows a number 0.975 times in 1, "open" 0.025 times (half of the
    # 5 in 100 strays). At its median nothing is likelier: everything is at most as likely.
    resistance = likelihoods("sensor-plug").observations["ohm"]
    role = [each.id for each in likelihoods("sensor-plug").roles].index("ecu-coolant")
    tails = [read_seen(resistance, text).tail(role) for text in ("2500 ohm", "open")]  # type: ignore[union-attr]
    assert tails == pytest.approx([1.0, 0.025], abs=1e-3)


def test_word_as_frequent_as_all_numbers_counts_in_their_tail() -> None:
    # A reversing switch is open half the time and shows a number half the time; in the middle of
    # its range from 0.1 to 1 ohm no number is likelier.
    resistance = likelihoods("sensor-plug").observations["ohm"]
    role = [each.id for each in likelihoods("sensor-plug").roles].index("reverse")
    for text in ("0.3162277 ohm", "open"):
        evidence = read_seen(resistance, text)
        assert evidence is not None
        assert evidence.tail(role) == pytest.approx(1.0, abs=5e-3)


def test_two_readings_seldom_so_far_off_combine_as_fisher_says() -> None:
    # Tails p of 0.99 · 2Φ(-z) + 0.01 (strays); chance of a sum as large: p²(1 - 2 ln p), Fisher
    # 1932. At z = 2.104, p = 0.045: 0.0146, not one in a hundred; at z = 2.326, p = 0.030: 0.0072.
    for z, contradicts in ((2.104, False), (2.326, True)):
        seen = {"crest": f"{5 - 0.13 - z * 0.06:.5f} mm", "taper": f"{z * 0.085:.5f} mm"}
        found = identify("thread", seen)
        assert found.candidates[0].id == "M5x0.8"
        assert found.contradictory is contradicts


def test_crest_far_from_every_thread_of_that_pitch_contradicts() -> None:
    assert identify("thread", {"crest": "47 mm", "pitch": "0.25 mm"}).contradictory
    assert not identify("thread", {"crest": "9.87 mm", "pitch": "1 mm"}).contradictory


# -- threads by hand ------------------------------------------------------------------------------


def test_m10x1_by_crest_and_pitch_at_an_oil_switch() -> None:
    # Crest 9.87 mm: expected 9.870 (M10x1), 9.598 (G 1/8), 10.157 mm (1/8 NPT), each ± 0.06, so
    # z = 0, 4.533, -4.783. Density [1/mm] 0.99 · 6.649 · exp(-z²/2) + 0.01/57:
    # 6.5826, 4.023e-4, 2.464e-4. Leaf 1 mm: 0.99 · 0.9 + 0.01/50 = 0.8912 for M10x1; it is no
    # neighbour of 27 or 28 turns (26 lies between), so 0.0002 for them. Priors 0.5, 0.075, 0.3.
    # Products: M10x1 2.9332, G 1/8 6.03e-9, NPT 1.48e-8; M10x1 keg has the prior (1 - 0.95)/82.
    found = chances(identify("thread", {"crest": "9.87 mm", "pitch": "1.0 mm"}, place="oil switch"))
    assert found["G 1/8"] / found["M10x1"] == pytest.approx(6.034e-9 / 2.9332, rel=2e-3)
    assert found["1/8-27 NPT"] / found["M10x1"] == pytest.approx(1.478e-8 / 2.9332, rel=2e-3)
    others = len({fitting.thread for fitting in fittings().values() if fitting.thread}) - 4
    keg = 0.05 / others / 0.5
    assert found["M10x1 keg"] / found["M10x1"] == pytest.approx(keg, rel=1e-9)


def test_crest_alone_leaves_the_look_alikes_in_play() -> None:
    # A worn or ill-measured crest of 9.75 mm: z = -2 (M10x1), 2.533 (G 1/8), -6.783 (1/8 NPT).
    # Densities 0.99 · 6.649 · (0.13534, 0.04042, 1e-10) + 1.754e-4 = 0.8910, 0.2662, 1.754e-4.
    found = chances(identify("thread", {"crest": "9.75 mm"}))
    assert found["G 1/8"] / found["M10x1"] == pytest.approx(0.2662 / 0.8910, rel=2e-3)
    assert found["1/8-27 NPT"] / found["M10x1"] == pytest.approx(1.754e-4 / 0.8910, rel=2e-3)


def test_leaf_27_is_beside_28_but_not_beside_1_mm() -> None:
    # Neighbours share 0.1: 0.99 · 0.05 + 0.01/50 = 0.0497 against 0.8912 and 0.0002.
    found = chances(identify("thread", {"pitch": "27 tpi"}))
    assert found["G 1/8"] / found["1/8-27 NPT"] == pytest.approx(0.0497 / 0.8912, rel=1e-9)
    assert found["M10x1"] / found["1/8-27 NPT"] == pytest.approx(0.0002 / 0.8912, rel=1e-9)


def test_metric_set_alone_cannot_tell_m10x1_from_28_turns() -> None:
    # 28 turns are 0.907 mm: of the metric leaves 1 mm is the nearest.
    found = chances(identify("thread", {"metric leaf": "1 mm"}))
    assert found["G 1/8"] == pytest.approx(found["M10x1"], rel=1e-12)


def test_stated_spread_of_a_crest_adds_as_squares() -> None:
    # ± 0.08·√3 mm stated is 0.08 mm standard; with the 0.06 mm of the model 0.10 mm. Crest 9.75 mm:
    # z = -1.2 (M10x1), 1.52 (G 1/8); 0.99 · 3.9894 · (0.48675, 0.31501) + 1.754e-4.
    found = chances(identify("thread", {"crest": f"9.75 ± {0.08 * sqrt(3):.9f} mm"}))
    assert found["G 1/8"] / found["M10x1"] == pytest.approx(1.24432 / 1.92261, rel=1e-4)


def test_taper_tells_r_from_g() -> None:
    # Differ by 0.45 mm: z = 5.294 (parallel), -0.588 (taper); 0.99 · 4.693 · exp(-z²/2) + 0.01/6:
    # 0.0016705 against 3.9099.
    found = chances(identify("thread", {"taper": "0.45 mm"}))
    assert found["G 1/8"] / found["R 1/8"] == pytest.approx(0.0016705 / 3.9099, rel=2e-3)


@pytest.mark.parametrize(
    "thread, bore",
    [
        # Smallest bores of the female thread, to which the model adds 0.12 mm:
        # ISO 724: M10x1 8.917, M14x1.5 12.376 mm; ISO 228-1: G 1/8 8.566, G 1/2 18.631 mm;
        # ASME B1.1: 3/8-24 0.3299 in (all from memory). ASME B1.20.1: 1/8 NPT, pitch diameter at
        # the mouth 9.489 mm less a thread height of 0.8 · 25.4/27 mm.
        ("1/8-27 NPT", 9.489 - 0.7526),
        ("M10x1", 8.917),
        ("M14x1.5", 12.376),
        ("G 1/8", 8.566),
        ("G 1/2", 18.631),
        ("3/8-24", 8.379),
    ],
)
def test_bore_of_a_female_thread_agrees_with_its_standard(thread: str, bore: float) -> None:
    spread = likelihoods("thread").observations["bore"]
    index = [role.id for role in likelihoods("thread").roles].index(thread)
    (shape,) = spread.shapes[index]  # type: ignore[union-attr]
    assert (shape.mean * 1000 - 0.12) == pytest.approx(bore, abs=0.002)  # type: ignore[union-attr]


def test_finer_observation_replaces_the_coarser() -> None:
    found = identify("thread", {"metric leaf": "1 mm", "pitch": "28 tpi", "crest": "unknown"})
    assert set(found.ignored) == {"metric leaf", "crest"}
    assert chances(found) == chances(identify("thread", {"pitch": "28 tpi"}))


def test_look_alike_is_named_with_its_difference() -> None:
    # M10x1 against G 1/8: 10 - 9.728 = 0.272 mm; five turns of 1 - 25.4/28 mm = 0.464 mm.
    best = identify("thread", {"crest": "9.87 mm"}, place="oil switch").candidates[0]
    assert best.id == "M10x1"
    told = [remark.text("metric") for remark in best.remarks]
    assert any("G 1/8" in text and "0.272 mm" in text and "0.464 mm" in text for text in told)


def test_merged_threads_keep_all_their_fittings() -> None:
    for candidate in identify("thread", {}).candidates:
        rows = [fitting.id for fitting in fittings().values() if fitting.thread == candidate.id]
        assert list(candidate.means.fittings) == rows and rows


# -- what to do next ------------------------------------------------------------------------------


def test_most_telling_agrees_with_entropy_by_enumeration() -> None:
    tree = raw("small-tube")
    now = posterior(tree, {"at": "plenum"})

    def entropy(shares: dict[str, float]) -> float:
        return -sum(p * log(p, 2) for p in shares.values() if p)

    gains: dict[str, float] = {}
    for name, held in tree["observations"].items():
        if name == "at":
            continue
        left = 0.0
        for word in held["cells"]:
            joint = {role: now[role] * cell(tree, name, word, role) for role in now}
            seen = sum(joint.values())
            left += seen * entropy({role: p / seen for role, p in joint.items()})
        gains[name] = entropy(now) - left
    wanted = tuple(sorted((n for n in gains if gains[n] > 0.01), key=lambda n: -gains[n]))
    assert identify("small-tube", {"at": "plenum"}).most_telling == wanted


@pytest.mark.slow
@given(stub_sights)
def test_most_telling_of_any_stub_agrees_with_enumeration(seen: Seen) -> None:
    # Mutual information in bits (Shannon 1948), told from 0.01 bit on; roles that are less likely
    # than 1 in 10 000 are left out.
    tree = raw("coolant-stubs")
    likely = {role: p for role, p in posterior(tree, seen).items() if p > 1e-4}
    whole = sum(likely.values())
    gains: dict[str, float] = {}
    for name, words in stub_words().items():
        if name in seen:
            continue
        gain = 0.0
        for word in words:
            joint = [p / whole * cell(tree, name, word, role) for role, p in likely.items()]
            for p, share in zip(joint, (cell(tree, name, word, r) for r in likely), strict=True):
                gain += p * log(share / sum(joint), 2)
        gains[name] = gain
    assume(all(not isclose(gain, 0.01, rel_tol=1e-6) for gain in gains.values()))
    told = identify("coolant-stubs", as_written(seen)).most_telling
    assert set(told) == {name for name, gain in gains.items() if gain > 0.01}


def test_most_telling_leaves_out_the_other_half() -> None:
    assert "bore" in identify("thread", {}).most_telling
    assert "bore" not in identify("thread", {"crest": "9.87 mm"}).most_telling
    assert "crest" not in identify("thread", {"bore": "9.03 mm"}).most_telling


@pytest.mark.parametrize(
    "kind, caution",
    [
        ("coolant-stubs", "Never turn the pump through the timing belt"),
        ("small-tube", "Never blow or suck with the mouth"),
        ("sensor-plug", "Airbag and belt plugs"),
        ("thread", "never with a spanner"),
    ],
)
def test_cautions_come_before_the_test(kind: str, caution: str) -> None:
    told = identify(kind, {}).settles
    table = likelihoods(kind)
    assert caution in table.cautions
    assert told.startswith(table.cautions) and table.test in told


def test_proofs_of_the_leading_candidates_are_told() -> None:
    told = identify("sensor-plug", {"pins": "2", "ohm": "2500 ohm"}).settles
    assert "half of that at 20 °C" in told
    # Published service table of a common sensor: 2502 ohm at 20 °C, 1152 ohm at 40 °C; between
    # the two, on a straight line of ln(ohm), 38 °C gives 1245 ohm, half of it within 1 %.
    at_38 = exp(log(2502) + (log(1152) - log(2502)) * 18 / 20)
    assert isclose(at_38, 2502 / 2, rel_tol=0.01)


@pytest.mark.parametrize(
    "seen, count",
    [
        ({"pins": "2", "ohm": "2500 ohm", "place": "coolant outlet"}, 2),  # all but sure: two
        ({"pins": "2"}, 4),  # seven kinds have two pins more often than not: no more than four
    ],
)
def test_proofs_are_told_until_nine_tenths_are_covered(seen: Seen, count: int) -> None:
    found = identify("sensor-plug", seen)
    proofs = {name: tree["proof"] for name, tree in raw("sensor-plug")["candidates"].items()}
    told = [name for name, proof in proofs.items() if f": {proof}." in found.settles]
    assert set(told) == {candidate.id for candidate in found.candidates[:count]}


# -- faults ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "kind, seen, place, found, nearest",
    [
        ("coolant-stub", {}, None, '"coolant-stub"', "coolant-stubs"),
        ("coolant-stubs", {"hight": "under"}, None, '"hight"', "height"),
        ("coolant-stubs", {"height": "undr"}, None, 'height: "undr"', "under"),
        ("coolant-stubs", {"bore": "28"}, None, "bore: 28 (no unit)", ""),
        ("coolant-stubs", {"bore": "absent"}, None, 'bore: "absent"', ""),
        ("coolant-stubs", {"bore": "280 mm"}, None, 'bore: "280 mm"', ""),
        ("coolant-stubs", {}, "oil switch", 'place "oil switch"', ""),
        ("small-tube", {"bore": "20 mm"}, None, 'bore: "20 mm"', ""),
        ("thread", {}, "oil swich", 'place "oil swich"', "oil switch"),
        ("thread", {"pitch": "0.95 mm"}, None, 'pitch: "0.95 mm"', "27 tpi"),
        ("thread", {"pitch": "fine"}, None, 'pitch: "fine"', ""),
        ("thread", {"crest": "9.87 mm", "bore": "9 mm"}, None, "crest and bore", ""),
    ],
)
def test_fault_tells_found_wanted_and_nearest(
    kind: str, seen: Seen, place: str | None, found: str, nearest: str
) -> None:
    with pytest.raises(ValueFault) as caught:
        identify(kind, seen, place=place)
    assert caught.value.found == found
    assert caught.value.wanted
    assert caught.value.nearest == nearest


def test_too_many_stubs_and_kinds_that_are_not_dealt_out_are_refused() -> None:
    with pytest.raises(ValueFault, match="5 ends"):
        identify_together("coolant-stubs", [{}] * 5)
    with pytest.raises(ValueFault, match="small-tube"):
        identify_together("small-tube", [{}])
    assert identify_together("coolant-stubs", []) == ()
