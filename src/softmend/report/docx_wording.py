"""Every word that an editable report says by itself."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

EDITABLE = (
    "Editable copy. The archival PDF of the same entries is the record; an edited copy that was "
    "signed is attached to the dossier as a paper."
)
CAUTION = "Caution:"
SIGNED = "Signed"
SIGN_COLUMNS = ("As", "Name", "Date", "Signature")
LEGEND_COLUMNS = ("Sign", "Code", "Class")
FACT_COLUMNS = ("Question", "Answer")
