"""Marks to SVG, the legend, drawings to scale: used by page and print alike."""
# SPDX-License-Identifier: Apache-2.0
