"""Softmend measures, computes and records the repair of a fractured organic object."""
# SPDX-License-Identifier: Apache-2.0

__version__ = "0.1.0"
