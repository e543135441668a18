"""Fixtures of the browser tests."""

from __future__ import annotations

from desk_fixtures import chromium, desk, page, serve, width

__all__ = ["chromium", "desk", "page", "serve", "width"]
