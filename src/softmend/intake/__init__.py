"""Foreign bytes to arrays and plain rows, within limits."""
# SPDX-License-Identifier: Apache-2.0
