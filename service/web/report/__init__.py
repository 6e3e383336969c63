"""The report: what a programme did in a week or a month."""
