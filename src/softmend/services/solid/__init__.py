"""Scans of the object at the bench: attached, given a unit, measured, held, compared, printed."""
# SPDX-License-Identifier: Apache-2.0
