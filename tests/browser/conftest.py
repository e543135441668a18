"""Fixtures of the browser tests."""

from __future__ import annotations

from desk_fixtures import beside, chromium, desk, page, serve, width

__all__ = ["beside", "chromium", "desk", "page", "serve", "width"]
