"""Solids: what a scan of an object says about its volume, voids, supports, surface and change."""
# SPDX-License-Identifier: Apache-2.0
