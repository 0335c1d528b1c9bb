"""Tint for a fill: films, colours, recipes, drops, and where the difference will be seen."""
# SPDX-License-Identifier: Apache-2.0
