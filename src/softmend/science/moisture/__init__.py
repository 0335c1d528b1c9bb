"""How a hygroscopic object takes up moisture, and how a crack in it moves with the air."""
# SPDX-License-Identifier: Apache-2.0
