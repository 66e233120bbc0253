"""The starter catalogue: generic items to put into joins. Data that ships."""

from collections.abc import Mapping

from swapwright.model.documents import read_documents
from swapwright.model.faults import Faulty
from swapwright.model.sheets import Catalogue, Item
from swapwright.model.shipped import shipped_text

FILE = "catalogue.yaml"


def starter_catalogue_text() -> str:
    """The document as text, to be copied into a build with its version."""
    return shipped_text("swapwright.library", FILE)


def starter_items() -> Mapping[str, Item]:
    """Its items by id."""
    documents = read_documents([(FILE, starter_catalogue_text().encode())])
    record = documents.records.get(FILE)
    if not isinstance(record, Catalogue):
        raise Faulty(documents.faults)
    return record.items
