"""Format numbers of documents and the steps from each to the next.

A step edits the tree of one document in place of the old words; the text itself is
migrated, comments kept, by the same step when the document is next saved.
"""

import re
from collections.abc import Callable, Mapping

from swapwright.model.faults import Fault, quoted
from swapwright.model.reading import Source, Tree, branch

FORMAT = 1
NUMBER = re.compile(r"^[1-9][0-9]{0,5}$")
Step = Callable[[dict[str, Tree]], dict[str, Tree]]
STEPS: Mapping[int, Step] = {}  # from format n to n + 1; none yet: format 1 is the first


def migrated(
    source: Source, tree: dict[str, Tree], steps: Mapping[int, Step] = STEPS, newest: int = FORMAT
) -> tuple[dict[str, Tree], Fault | None]:
    """Bring a document's tree to the newest format.

    Returns
    -------
    tree, fault
        The fault is None unless the format number is missing, no number, or newer
        than this program knows.
    """
    word = branch(tree, ("format",))
    if word is None:
        return tree, source.fault(
            (), "no format", "the format number of this document", f"format: {newest}"
        )
    if not isinstance(word, str) or not NUMBER.match(word):
        return tree, source.fault(("format",), quoted(word), "a format number", f"format: {newest}")
    number = int(word)
    if number > newest:
        wanted = f"format {newest} or lower; a newer Swapwright wrote this document"
        return tree, source.fault(("format",), quoted(word), wanted, f"format: {newest}")
    while number < newest:
        tree = {**steps[number](dict(tree)), "format": str(number + 1)}
        number += 1
    return tree, None
