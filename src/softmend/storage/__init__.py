"""The only SQL and the only paths."""
# SPDX-License-Identifier: Apache-2.0
