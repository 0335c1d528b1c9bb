"""Verbs of Propose: options, steps, hours, consent, and what is secured before it."""
# SPDX-License-Identifier: Apache-2.0
