"""The words of a swap: documents, records, facts, and the assembled model."""
