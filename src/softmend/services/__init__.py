"""The verbs of the bench, one use case a function."""
# SPDX-License-Identifier: Apache-2.0
