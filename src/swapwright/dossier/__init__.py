"""What people see: gap rows, sentences, terminal text, report, JSON."""
