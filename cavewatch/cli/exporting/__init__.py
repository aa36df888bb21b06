"""What is on record as files for others: tables as CSV or JSON lines, reports as HTML."""
