"""Verbs of deposit: a dossier packed whole, given out, and brought back."""
# SPDX-License-Identifier: Apache-2.0
