"""What a dossier holds, as frozen dataclasses, and the rules as functions."""
# SPDX-License-Identifier: Apache-2.0
