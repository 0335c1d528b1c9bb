"""Records and bytes in, printed pages out."""
# SPDX-License-Identifier: Apache-2.0
