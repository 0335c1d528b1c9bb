"""A crack and what is in it: who carries how much of the movement, and which part gives first."""
# SPDX-License-Identifier: Apache-2.0
