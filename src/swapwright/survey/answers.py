"""Answers to the survey: read, checked all at once, completed with "unknown"."""

from collections.abc import Mapping
from pathlib import Path

from swapwright.library.survey_data import SurveyQuestion, questions
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.reading import EMPTY, Source, read_source
from swapwright.model.values import Sort, ValueFault, read_value

Answers = Mapping[str, str]
UNKNOWN = "unknown"
SETTLED = {  # what the kind of engine answers by itself: another answer contradicts it
    "diesel": {"engine fuel": "diesel", "spark": "none"},
    "old carburettor four": {"engine fuel": "carburettor"},
}
SPOKEN = {"true": "yes", "false": "no", "y": "yes", "n": "no"}
DO_NOT_KNOW = ("", "?", "unknown", "don't know", "do not know")


def all_unknown() -> dict[str, str]:
    """Every question answered with *don't know*."""
    return dict.fromkeys(questions(), UNKNOWN)


def settled_by(answers: Answers) -> Mapping[str, str]:
    """Questions that the kind of engine has answered, with their answers."""
    return SETTLED.get(answers.get("engine", UNKNOWN), {})


def read_answers(path: Path) -> dict[str, str]:
    """Answers from a YAML file: question to answer; what is left out is unknown.

    Raises
    ------
    Faulty
        With every fault of the file.
    """
    try:
        source = read_source(path.name, path.read_bytes())
    except OSError as error:
        found = "a folder" if path.is_dir() else error.strerror or "an error while reading"
        raise Faulty([Fault(str(path), None, None, "", found, "a file of answers")]) from None
    empty = any(fault.found == EMPTY for fault in source.faults)
    if source.tree is None and not empty:
        raise Faulty(source.faults)
    if not isinstance(source.tree, dict):
        found = EMPTY if empty else "a list or a text"
        wanted = "question: answer, line by line"
        raise Faulty([source.fault((), found, wanted, "bought: alone")])
    faults = list(source.faults)
    answers = all_unknown()
    for name, held in source.tree.items():
        answer = _checked(source, name, held, faults)
        if answer is not None:
            answers[name] = answer
    for name, implied in settled_by(answers).items():
        if answers[name] not in (UNKNOWN, implied):
            found = f"{answers[name]} beside engine: {answers['engine']}"
            faults.append(source.fault((name,), found, f"{implied}, or the line left out"))
    if faults:
        raise Faulty(faults)
    return answers


def _checked(source: Source, name: str, held: object, faults: list[Fault]) -> str | None:
    question = questions().get(name)
    if question is None:
        known = ", ".join(questions())
        faults.append(
            source.fault(
                (name,), quoted(name), f"a question: {known}", "", nearest_name(name, questions())
            )
        )
        return None
    if held is not None and not isinstance(held, str):
        faults.append(source.fault((name,), "a list or mapping", "one answer"))
        return None
    try:
        return read_answer(question, held or "")
    except ValueFault as fault:
        faults.append(
            source.fault((name,), fault.found, fault.wanted, fault.example, fault.nearest)
        )
        return None


def read_answer(question: SurveyQuestion, said: str) -> str:
    """One answer as written or by its number.

    Raises
    ------
    ValueFault
        When it is none of the answers.
    """
    word = said.strip()
    if word.lower() in DO_NOT_KNOW:
        return UNKNOWN
    if question.sort == "text":
        return word
    if question.sort == "year":
        about = word.lower().removeprefix("about").strip()
        read_value(about, Sort("year"))
        return about
    if word.isdigit() and 1 <= int(word) <= len(question.answers):
        return question.answers[int(word) - 1]
    spoken = SPOKEN.get(word.lower(), word.lower())
    for answer in question.answers:
        if spoken == answer.lower():
            return answer
    wanted = "one of: " + ", ".join(question.answers) + "; or unknown"
    raise ValueFault(
        quoted(word), wanted, question.answers[0], nearest_name(word, question.answers)
    )
