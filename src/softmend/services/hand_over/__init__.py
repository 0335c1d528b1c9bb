"""Verbs of Return: closing, custody, places, and the one-page outputs."""
# SPDX-License-Identifier: Apache-2.0
