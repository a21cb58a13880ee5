"""Whole archives: found, read with care, moved in parallel, written atomically, resumable."""
