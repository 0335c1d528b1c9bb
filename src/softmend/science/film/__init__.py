"""Coatings: what their tension releases, which layer lets go, and how thick is safe."""
# SPDX-License-Identifier: Apache-2.0
