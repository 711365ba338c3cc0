"""The report: plain data first, then one page of it that needs nothing besides itself."""
