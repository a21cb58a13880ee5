"""The report as one page: HTML with its styles, its script and its pictures inside."""
