"""Format numbers of documents and the steps from each to the next.

One step serves both ways: on the tree of a document that is read, and on its text,
comments kept, when the document is next saved.
"""

import re
from collections.abc import Callable, Mapping, MutableMapping
from copy import deepcopy
from io import StringIO
from typing import Any

from swapwright.model.faults import Fault, quoted
from swapwright.model.reading import Source, Tree, branch

FORMAT = 1
NUMBER = re.compile(r"^[1-9][0-9]{0,5}$")
Step = Callable[[MutableMapping[str, Any]], None]  # changes the old words in place
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
    if number < newest:
        tree = deepcopy(tree)
        for step in range(number, newest):
            steps[step](tree)
        tree["format"] = str(newest)
    return tree, None


def migrated_text(source: Source, steps: Mapping[int, Step] = STEPS, newest: int = FORMAT) -> str:
    """Bring a document's text to the newest format, comments kept; a new one stays as it is.

    The source is one that ``migrated`` finds no fault with.
    """
    number = int(str(branch(source.tree, ("format",))))
    if number == newest:
        return source.text
    from ruamel.yaml import YAML  # only an old document pays for it

    yaml = YAML()
    yaml.width = 4096
    yaml.preserve_quotes = True
    tree = yaml.load(source.text)
    for step in range(number, newest):
        steps[step](tree)
    tree["format"] = newest
    stream = StringIO()
    yaml.dump(tree, stream)
    return stream.getvalue()
