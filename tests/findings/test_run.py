"""How findings come about: urgency, chances, questions, acceptance, groups, what is recorded.

The rules here are made for the test; their words, limits and facts are the shipped ones.
"""

from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from tests.support.builds import base_build, merged
from tests.support.small_builds import small_build

from swapwright.assess import Assessment, assess
from swapwright.findings import run
from swapwright.findings.book import RULES
from swapwright.findings.groups import SHOWN, groups, to_show
from swapwright.findings.kit import Look, Rule, Trip, either, rule, the_build, the_car, the_engine
from swapwright.findings.run import Finding, judge
from swapwright.library.rulebook import limit_texts, rule_texts
from swapwright.model.amount import Amount, Chance
from swapwright.model.assembly import Assembly
from swapwright.model.values import Value
from swapwright.model.words import Gate, Signal, Urgency
from swapwright.quantity import Dimension

AS_OF = date(2026, 6, 1)
CASES = sorted((Path(__file__).parent / "cases").glob("*.yaml"))

BACKED_STOP = next(
    text.id for text in rule_texts().values()
    if text.urgency is Urgency.STOP and text.rests_on == "document"
)  # fmt: skip
MEMORY_STOP = next(
    text.id for text in rule_texts().values()
    if text.urgency is Urgency.STOP and text.rests_on == "memory"
)  # fmt: skip
ROAD = next(text.id for text in rule_texts().values() if text.urgency is Urgency.ROAD)
MEMORY_LIMIT = next(n for n, limit in limit_texts().items() if limit.rests_on == "memory")


def car_of(mass: str = "unknown", **build: Any) -> Assembly:
    car = {
        "format": 1, "kind": "vehicle", "id": "car", "label": "little car",
        "facts": {"kerb_mass": mass},
    }  # fmt: skip
    return small_build(build=build, others={"car": car})


def heavy(name: str, limit: float = 1000.0) -> Rule:
    """Trips when the car is likely to weigh more than so many kilograms."""

    @rule(name, over=the_car, reads=("kerb_mass",))
    def check(look: Look) -> Trip | None:
        mass = look.amount("kerb_mass")
        spread = mass.uncertainty
        line = type(mass)(limit, 0.0, mass.dimension)
        holds: Chance | bool = mass > line if spread else mass.nominal > limit
        return look.trip_if(holds, mass=mass)

    return check


def with_chance(p: float, name: str = BACKED_STOP) -> Rule:
    @rule(name, over=the_car)
    def check(look: Look) -> Trip | None:
        return look.trip_if(Chance(p))

    return check


def only(assembly: Assembly, *rules: Rule) -> Finding:
    (finding,) = judge(assembly, rules, AS_OF).findings
    return finding


# -- urgency -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "mass, urgency",
    [
        ("1100 kg", Urgency.STOP),
        ("1100 kg, public weighbridge", Urgency.STOP),
        ("1100 kg, published", Urgency.STOP),
        ("1100 kg, typical", Urgency.ROAD),
        ("1100 kg, guessed", Urgency.ROAD),
    ],
)
def test_a_stop_needs_facts_that_are_own_or_published(mass: str, urgency: Urgency) -> None:
    finding = only(car_of(mass), heavy(BACKED_STOP))
    assert finding.urgency is urgency and finding.would_be is urgency


def test_a_rule_from_memory_is_never_a_stop() -> None:
    assert only(car_of("1100 kg"), heavy(MEMORY_STOP)).urgency is Urgency.ROAD


def test_a_limit_from_memory_never_makes_a_stop_and_is_told() -> None:
    @rule(BACKED_STOP, over=the_car)
    def check(look: Look) -> Trip | None:
        look.limit(MEMORY_LIMIT)
        return look.trip()

    finding = only(car_of(), check)
    assert finding.urgency is Urgency.ROAD and finding.memory_limits == (MEMORY_LIMIT,)
    own = {MEMORY_LIMIT: {"value": limit_texts()[MEMORY_LIMIT].text, "reason": "known"}}
    assert only(small_build(build={"limits": own}), check).urgency is Urgency.STOP


def test_lesser_urgencies_are_not_lowered_by_typical_facts() -> None:
    assert only(car_of("1100 kg, guessed"), heavy(ROAD)).urgency is Urgency.ROAD


def test_a_trip_may_name_its_own_signal_word() -> None:
    warned = next(text.id for text in rule_texts().values() if text.signal is Signal.WARNING)

    def check_with(signal: Signal | None) -> Finding:
        return only(car_of(), rule(warned, over=the_car)(lambda look: look.trip(signal=signal)))

    assert check_with(None).signal is Signal.WARNING
    assert check_with(Signal.CAUTION).signal is Signal.CAUTION


# -- chances: too close to call from 1/20 to 1/2 -------------------------------------------------


@pytest.mark.parametrize(
    "p, outcome",
    [
        (0.0, None), (0.05, None),
        (0.0501, Urgency.ASK), (0.25, Urgency.ASK), (0.4999, Urgency.ASK),
        (0.5, Urgency.STOP), (0.9, Urgency.STOP), (1.0, Urgency.STOP),
    ],
)  # fmt: skip
def test_the_borders_of_too_close_to_call(p: float, outcome: Urgency | None) -> None:
    found = judge(car_of(), [with_chance(p)], AS_OF).findings
    assert [each.urgency for each in found] == ([outcome] if outcome else [])
    if outcome is Urgency.STOP:
        assert found[0].sure == p
    if outcome is Urgency.ASK:
        assert found[0].sure is None and found[0].would_be is Urgency.STOP


# One standard uncertainty below the line leaves a chance of 0.159, two leave 0.023 (table of the
# standard normal distribution, as in JCGM 106:2012); "±" here states the standard uncertainty.
@pytest.mark.parametrize(
    "mass, outcome",
    [
        ("900 kg", None),
        ("1010 ± 20 kg", Urgency.STOP),
        ("990 ± 20 kg", Urgency.ASK),
        ("800 ± 20 kg", None),
    ],
)
def test_uncertainties_decide(mass: str, outcome: Urgency | None) -> None:
    found = judge(car_of(mass), [heavy(BACKED_STOP)], AS_OF).findings
    assert [each.urgency for each in found] == ([outcome] if outcome else [])


def test_too_close_to_call_says_so_and_asks_for_the_widest_fact() -> None:
    @rule(BACKED_STOP, over=the_car, reads=("kerb_mass", "rated_power"))
    def check(look: Look) -> Trip | None:
        look.amount("kerb_mass")
        look.amount("rated_power", "motor")
        return look.trip_if(Chance(0.3))

    motor = {
        "format": 1, "kind": "engine", "id": "motor", "facts": {"rated_power": "50 ± 20 kW"},
    }  # fmt: skip
    car = {"format": 1, "kind": "vehicle", "id": "car", "facts": {"kerb_mass": "900 ± 9 kg"}}
    finding = only(small_build(others={"motor": motor, "car": car}), check)
    assert finding.asks is not None
    assert (finding.asks.subject, finding.asks.name) == ("motor", "rated_power")
    assert finding.asks.ask.startswith("Measure it better: ")
    assert "too close to call (30% that" in finding.message.template.replace("{chance}", "30%")
    assert finding.message.values["chance"] == "30%"


def test_the_widest_fact_is_the_widest_for_its_size() -> None:
    # 90 of 900 kg is a tenth, 1 of 50 kW a fiftieth, whatever units they are kept in.
    @rule(BACKED_STOP, over=the_car, reads=("kerb_mass", "rated_power"))
    def check(look: Look) -> Trip | None:
        look.amount("rated_power", "motor")
        look.amount("kerb_mass")
        return look.trip_if(Chance(0.3))

    motor = {"format": 1, "kind": "engine", "id": "motor", "facts": {"rated_power": "50 ± 1 kW"}}
    car = {"format": 1, "kind": "vehicle", "id": "car", "facts": {"kerb_mass": "900 ± 90 kg"}}
    finding = only(small_build(others={"motor": motor, "car": car}), check)
    assert finding.asks is not None and finding.asks.name == "kerb_mass"


# -- questions --------------------------------------------------------------------------------


def test_an_unknown_fact_asks_for_itself() -> None:
    finding = only(car_of(), heavy(BACKED_STOP))
    assert finding.urgency is Urgency.ASK and finding.sure is None
    assert finding.asks is not None
    assert (finding.asks.subject, finding.asks.name) == ("car", "kerb_mass")
    assert finding.would_be is Urgency.STOP
    assert only(car_of(), heavy(MEMORY_STOP)).would_be is Urgency.ROAD


def test_what_is_absent_is_an_answer() -> None:
    assert judge(car_of("absent"), [heavy(BACKED_STOP)], AS_OF).findings == ()


def test_a_question_is_quiet_until_its_gate_is_near() -> None:
    gates = [gate for gate in Gate if gate is not Gate.JOB]
    late = next(t.id for t in rule_texts().values() if t.gate is Gate.FIRST_START)
    ahead = gates.index(Gate.FIRST_START)
    for passed in range(len(gates)):
        done = {str(gate): "2026-05-01" for gate in gates[:passed]}
        finding = only(car_of(gates=done), heavy(late))
        assert finding.near is (passed >= ahead)
        assert finding.quiet is not finding.near


def test_a_trip_is_never_quiet() -> None:
    late = next(t.id for t in rule_texts().values() if t.gate.order > Gate.FIRST_START.order)
    finding = only(car_of("1100 kg"), heavy(late))
    assert not finding.near and not finding.quiet


def test_findings_come_worst_first() -> None:
    rules = [heavy(ROAD), heavy(BACKED_STOP)]
    found = judge(car_of("1100 kg"), rules, AS_OF).findings
    assert [each.rule for each in found] == [BACKED_STOP, ROAD]


# -- acceptance ---------------------------------------------------------------------------------


def accepted(found: Finding, name: str = "") -> dict[str, Any]:
    entry = {"reason": "known", "on": "2026-05-02", "digest": found.digest}
    return {"accepted": [{"finding": name or found.id, **entry}]}


def test_an_acceptance_holds_while_its_facts_stay() -> None:
    before = only(car_of("1100 kg"), heavy(ROAD))
    after = only(car_of("1100 kg", **accepted(before)), heavy(ROAD))
    assert after.accepted is not None and after.accepted.reason == "known" and not after.lapsed


def test_an_acceptance_lapses_when_a_fact_changes() -> None:
    before = only(car_of("1100 kg"), heavy(ROAD))
    after = only(car_of("1101 kg", **accepted(before)), heavy(ROAD))
    assert after.accepted is None and after.lapsed


def test_an_acceptance_rests_on_the_spread_as_well() -> None:
    def found(spread: float) -> Finding:
        mass = Amount(1100.0, spread, Dimension.MASS)
        return only(car_of(), rule(ROAD, over=the_car)(lambda look: look.trip(mass=mass)))

    assert found(5.0).digest == found(5.0).digest != found(7.0).digest


def test_an_acceptance_survives_a_new_label() -> None:
    before = only(car_of("1100 kg"), heavy(ROAD))
    car = {
        "format": 1, "kind": "vehicle", "id": "car", "label": "the blue one",
        "facts": {"kerb_mass": "1100 kg"},
    }  # fmt: skip
    assembly = small_build(build=accepted(before), others={"car": car})
    assert only(assembly, heavy(ROAD)).accepted is not None


def test_an_acceptance_under_a_former_id_still_holds() -> None:
    car = {
        "format": 1, "kind": "vehicle", "id": "car", "formerly": ["wagon"],
        "facts": {"kerb_mass": "1100 kg"},
    }  # fmt: skip
    before = only(small_build(others={"car": car}), heavy(ROAD))
    entry = accepted(before, f"{ROAD}/wagon")
    assert only(small_build(build=entry, others={"car": car}), heavy(ROAD)).accepted is not None


def test_a_question_cannot_be_accepted() -> None:
    before = only(car_of(), heavy(ROAD))
    after = only(car_of(**accepted(before)), heavy(ROAD))
    assert after.accepted is None and not after.lapsed


def assessed(assembly: Assembly, *rules: Rule) -> Assessment:
    return Assessment(assembly, AS_OF, judge(assembly, rules, AS_OF), (), (), (), (), ())


@pytest.mark.parametrize(
    "name, open_status, accepted_status",
    [(BACKED_STOP, 1, 1), (ROAD, 1, 0)],
)
def test_an_accepted_stop_keeps_the_status(
    name: str, open_status: int, accepted_status: int
) -> None:
    before = assessed(car_of("1100 kg"), heavy(name))
    assert before.status == open_status
    entry = accepted(before.findings[0])
    after = assessed(car_of("1100 kg", **entry), heavy(name))
    assert after.findings[0].accepted is not None and after.status == accepted_status


def test_questions_and_notes_leave_the_status_at_zero() -> None:
    note = next(t.id for t in rule_texts().values() if t.urgency is Urgency.NOTE)
    assert assessed(car_of("1100 kg"), heavy(note)).status == 0
    assert assessed(car_of(), heavy(BACKED_STOP)).status == 0


# -- groups ----------------------------------------------------------------------------------------


def many(count: int, urgency: Urgency, act: str = "", **more: Any) -> list[Finding]:
    base = only(car_of("1100 kg"), heavy(ROAD))
    fields = {name: getattr(base, name) for name in Finding.__dataclass_fields__}
    return [
        Finding(**fields | {"id": name, "act": act or name, "urgency": urgency} | more)
        for name in (f"{urgency}/{i}" for i in range(count))
    ]


def test_findings_with_one_act_are_one_group_its_worst_first() -> None:
    told = [*many(2, Urgency.ROAD, "buy it"), *many(1, Urgency.FIX, "buy it")]
    (group,) = groups(told)
    assert group.act == "buy it" and group.worst.urgency is Urgency.ROAD
    assert len(group.findings) == 3


def test_questions_are_grouped_apart_from_what_has_tripped() -> None:
    assert len(groups([*many(1, Urgency.ROAD, "look"), *many(1, Urgency.ASK, "look")])) == 2


def test_ten_groups_are_shown_and_the_rest_counted() -> None:
    shown, more = to_show(many(13, Urgency.ROAD))
    assert (len(shown), more) == (SHOWN, 3) == (10, 3)
    assert to_show(many(10, Urgency.ROAD))[1] == 0


def test_a_stop_is_never_hidden() -> None:
    stops = many(12, Urgency.STOP)
    shown, more = to_show([*stops, *many(3, Urgency.ROAD)])
    assert [group.worst.urgency for group in shown] == [Urgency.STOP] * 12 and more == 3
    acceptance = only(
        car_of("1100 kg", **accepted(only(car_of("1100 kg"), heavy(ROAD)))), heavy(ROAD)
    ).accepted
    assert len(to_show(many(1, Urgency.STOP, accepted=acceptance))[0]) == 1
    assert len(to_show(many(1, Urgency.ROAD, accepted=acceptance))[0]) == 0


def test_quiet_questions_wait() -> None:
    assert to_show(many(4, Urgency.ASK, near=False)) == ((), 0)
    assert len(to_show(many(4, Urgency.ASK, near=True))[0]) == 4


# -- what is recorded ------------------------------------------------------------------------------


def test_an_undeclared_read_is_a_mistake() -> None:
    @rule(ROAD, over=the_car, reads=("kerb_mass",))
    def check(look: Look) -> Trip | None:
        return look.trip_if(look.said("rated_power", "motor").known)

    with pytest.raises(KeyError, match="rated_power"):
        judge(car_of(), [check], AS_OF)


def test_a_rule_of_an_unknown_fact_cannot_be_made() -> None:
    with pytest.raises(KeyError, match="no_such_fact"):
        rule(ROAD, over=the_build, reads=("no_such_fact",))


def test_facts_of_conditions_that_did_not_trip_are_remembered() -> None:
    """They are assumptions too, though a finding does not rest on them."""

    @rule(ROAD, over=the_engine, reads=("rated_power", "mass_dressed", "boosted"))
    def check(look: Look) -> Trip | None:
        return either(
            look,
            lambda at: at.trip_if(at.si("rated_power") < 0),
            lambda at: at.trip_if(at.yes("boosted")),
            lambda at: at.trip_if(at.si("mass_dressed") < 0),
        )

    facts = {"rated_power": "50 kW, typical", "mass_dressed": "100 kg", "boosted": "yes"}
    motor = {"format": 1, "kind": "engine", "id": "motor", "facts": facts}
    judged = judge(small_build(others={"motor": motor}), [check], AS_OF)
    assert [use.name for use in judged.findings[0].rests_on] == ["boosted"]
    assert set(judged.read) == {("motor", "rated_power"), ("motor", "boosted")}
    quiet = merged(motor, {"facts": {"boosted": "no"}})
    judged = judge(small_build(others={"motor": quiet}), [check], AS_OF)
    assert judged.findings == ()
    assert set(judged.read) == {("motor", name) for name in facts}
    assert judged.read["motor", "rated_power"][1] == (ROAD,)


def test_every_rule_that_reads_a_fact_is_remembered_with_it() -> None:
    read = judge(car_of("900 kg"), [heavy(ROAD), heavy(BACKED_STOP)], AS_OF).read
    assert read["car", "kerb_mass"][1] == (ROAD, BACKED_STOP)


@pytest.fixture(scope="module")
def full_build() -> Assembly:
    """Everything that the cases say, laid over one another as far as it goes together."""
    overlay: Mapping[str, Any] = {}
    for path in CASES:
        case = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
        given = merged(case.get("given") or {}, case["trips"])
        facts_only = {
            sheet: {"facts": tree["facts"]}
            for sheet, tree in given.items()
            if isinstance(tree, dict) and "facts" in tree and sheet != "build"
        }
        overlay = merged(dict(overlay), facts_only)
    known = {"car", "motor", "box", "old", "oldbox"}
    return base_build({name: tree for name, tree in overlay.items() if name in known})


def test_every_known_fact_that_a_rule_reads_is_recorded(
    full_build: Assembly, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever way a rule takes to a fact that is known, it stands among the facts read.

    wk-dim is left out: it asks how often something was measured, not what came of it.
    """
    asked: set[tuple[str, str]] = set()
    within = 0
    plain = Assembly.fact

    def listening(self: Assembly, subject: str, name: str) -> Value:
        nonlocal within
        within += 1
        value = plain(self, subject, name)
        within -= 1
        if within == 0 and value.known:  # a join's pieces are asked from within
            asked.add((subject, name))
        return value

    monkeypatch.setattr(Assembly, "fact", listening)
    rules = [each for each in RULES if each.id != "wk-dim"]
    judged = judge(full_build, rules, AS_OF)
    assert len(asked) > 30
    assert asked <= set(judged.read)
    declared = {each.id: each.reads for each in RULES}
    for (_, name), (_, readers) in judged.read.items():
        assert all(name in declared[each] for each in readers)


def test_judging_reads_no_clock(full_build: Assembly) -> None:
    first, again = (judge(full_build, RULES, AS_OF) for _ in range(2))
    assert first.findings == again.findings


@pytest.mark.slow
@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_an_acceptance_outlives_the_night(path: Path) -> None:
    """What a finding says must not change by the day, else its acceptance would lapse."""
    case = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
    assembly = base_build(merged(case.get("given") or {}, case["trips"]))
    day = date.fromisoformat(case.get("as_of", AS_OF.isoformat()))
    by_id = [each for each in RULES if each.id == path.stem]
    today, tomorrow = (judge(assembly, by_id, d).findings for d in (day, day + timedelta(days=1)))
    digests = {each.id: each.digest for each in tomorrow}
    assert {each.id: each.digest for each in today if each.id in digests} == digests


def test_assumptions_are_what_was_read_and_is_not_ones_own() -> None:
    guessed = base_build({"build": {"facts": {"heater_tap": "shuts the loop, guessed"}}})
    assumed = [(each.subject, each.name) for each in assess(guessed, AS_OF).assumptions]
    assert assumed == [("base", "heater_tap")]
    own = base_build({"build": {"facts": {"heater_tap": "shuts the loop"}}})
    assert assess(own, AS_OF).assumptions == ()


def test_a_rule_is_not_asked_of_what_is_not_there() -> None:
    assert run.findings(
        small_build({"servo": {"family": "servo", "there": "no"}}), RULES, AS_OF
    ) == (run.findings(small_build(), RULES, AS_OF))
