"""The type of what a law takes and gives."""

from __future__ import annotations

from typing import Any, TypeAlias

Value: TypeAlias = Any
"""A float, a NumPy array or a symbolic expression that answers to NumPy functions.

No tighter type holds for all three; a law never asks which one it was given, and so never branches on it.
"""
