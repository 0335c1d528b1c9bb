"""Verbs of Treat: the day log, batches, fragments, bench sheets, and the treatment record."""
# SPDX-License-Identifier: Apache-2.0
