"""The network that suggests cracks: its weights, learned from drawn cracks only.

How it was made, with its seed and figures, is told in tools/suggest_network/README.md.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from importlib.resources import files


def suggest_network() -> bytes:
    """Return the network in the open exchange format (ONNX), 1.7 MB.

    Returns
    -------
    bytes, the whole file [bytes]

    Source: own, trained by tools/suggest_network/train.py, seed 7.
    Checked against: tests/science/photo/test_network.py.

    Example
    -------
    >>> len(suggest_network()) < 2_000_000
    True
    """
    return (files("softmend.tables") / "suggest_network.onnx").read_bytes()
