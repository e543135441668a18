"""Puts this folder on the import path for ``docs``."""
