"""Taking old work off: what dissolves it, how sure that is, what it harms, and the air."""
# SPDX-License-Identifier: Apache-2.0
