"""Verbs of Examine: photographs, scales, marks, zones, grades, and the condition report."""
# SPDX-License-Identifier: Apache-2.0
