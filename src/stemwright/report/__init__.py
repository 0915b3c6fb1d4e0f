"""The page of a pass: every move to look at, every stem to hear before and after at equal loudness, in one file."""

from __future__ import annotations

from stemwright.report.page import PageOptions, Written, overviews_of, write_page

__all__ = ["PageOptions", "Written", "overviews_of", "write_page"]
