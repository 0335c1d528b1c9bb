"""The invented demo, laid out through the same verbs that a conservator uses."""
# SPDX-License-Identifier: Apache-2.0
