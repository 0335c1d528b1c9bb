"""Records to open formats."""
# SPDX-License-Identifier: Apache-2.0
