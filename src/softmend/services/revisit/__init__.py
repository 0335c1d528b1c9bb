"""Revisit: has anything moved since."""
# SPDX-License-Identifier: Apache-2.0
