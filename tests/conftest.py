"""Puts this folder on the import path, so that tests share modules such as ``malformed``."""
